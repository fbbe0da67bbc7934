"""Small versions of each frame, kept while it is measured, so that no original is decoded to look at it."""
