"""Data in and out, in open formats."""
