"""What is delivered: sizes, names, crops, metadata, promises. Pure: nothing is opened or written here."""
