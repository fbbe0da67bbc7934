"""How a photo arrives: which names count, what already lies there, what the system reports, when it is whole.

Knows folders, file names and file status. Opens no photo: `identity` is handed the bytes.
"""
