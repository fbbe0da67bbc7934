"""A client's answer in words to the frames that it names. Pure: text and names in, names out."""
