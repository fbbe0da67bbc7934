"""Retouched files of a frame: which frame it is, and where in the final each of its places lies. Pure."""
