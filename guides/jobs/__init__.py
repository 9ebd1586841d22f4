"""Work in the background: ids in, work delegated."""
