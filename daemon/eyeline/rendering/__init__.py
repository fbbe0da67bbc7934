"""Pixels for delivery: cropped, resized, in the profile that is asked for, encoded. Touches libvips."""
