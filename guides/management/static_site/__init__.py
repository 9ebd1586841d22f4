"""The public pages as files: for a folder, a CDN, or a drawer."""
