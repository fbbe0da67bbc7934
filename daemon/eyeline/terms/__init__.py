"""The vocabulary: frozen data that every room speaks in. Imports numpy and the standard library only.

Points and rectangles are (x, y) from the top left corner of the upright picture, x to the right,
y down. *Left* and *right* are the viewer's. Only raw pixel arrays are indexed [row, column].
"""
