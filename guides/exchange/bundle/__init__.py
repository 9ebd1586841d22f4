"""Everything a roastery has made, in one documented file that any version from this one on reads."""
