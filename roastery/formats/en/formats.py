"""English: 5 November 2026, 14:30, as on customers' pages. Django alone would write Nov. 5, 2026, 2:30 p.m."""

DATE_FORMAT = SHORT_DATE_FORMAT = "j F Y"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = SHORT_DATETIME_FORMAT = "j F Y, H:i"
YEAR_MONTH_FORMAT = "F Y"
MONTH_DAY_FORMAT = "j F"
