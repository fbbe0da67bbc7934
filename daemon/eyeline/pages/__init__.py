"""Pages to look at: frames side by side, hung from the eyes on one line."""
