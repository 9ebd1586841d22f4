"""Reads: what the database holds, asked for by purpose. No writes."""
