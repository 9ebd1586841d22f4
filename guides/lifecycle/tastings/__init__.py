"""Blind tastings: opened, joined, noted, revealed; one file per verb."""
