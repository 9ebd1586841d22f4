"""Papers: sizes as data, laying out, reading back."""
