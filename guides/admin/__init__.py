"""The roaster's desk: the stock Django admin, one file per area."""
