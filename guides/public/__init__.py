"""What customers see: load, present, render."""
