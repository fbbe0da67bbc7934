"""A person's TOML files: lines, strict values, all faults at once."""
