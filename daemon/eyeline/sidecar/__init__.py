"""XMP sidecars: what eyeline writes into them, whose each field is, and how a file is replaced unharmed.

Everything others wrote means the same afterwards, or nothing is written. Originals are never touched, but for
the XMP packet of JPEGs where the configuration asks for that; image data never.
"""
