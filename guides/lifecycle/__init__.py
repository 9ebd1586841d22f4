"""Every change of state, one file per verb. Refusals say what, why and what to do."""
