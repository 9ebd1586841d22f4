"""What shops read."""
