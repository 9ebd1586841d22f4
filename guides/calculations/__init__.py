"""Every number a guide shows. Standard library only: no Django, no clock, no randomness.

Quantities carry their unit in their name (``dose_g``, ``temp_c``, ``time_s``, ``grind_um``); strength and
extraction are fractions (1.35 % is ``0.0135``). Import from the modules, not from here.
"""
