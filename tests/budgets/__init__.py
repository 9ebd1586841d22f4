"""The numbers that public pages promise, measured on the demo: ``python -m tests.budgets``."""
