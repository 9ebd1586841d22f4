"""The invented world that the demo shows: data in TOML, brought in through the same acts as real use."""
