"""One file becomes a frame, pixels, and what the models see in them. Knows no rules and no stars."""
