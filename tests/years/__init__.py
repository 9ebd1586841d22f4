"""The numbers that a site must keep for years, in one table: ``python -m tests.years``."""
