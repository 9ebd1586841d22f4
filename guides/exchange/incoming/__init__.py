"""Lists that come in as files: read, judged row by row, and kept whole or not at all."""
