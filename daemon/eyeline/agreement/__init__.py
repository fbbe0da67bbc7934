"""How far the photographer's stars and eyeline's agree, where they part, and what a genre would change.

Pure: arrays and rulebooks in, numbers and proposals out. Touches no file, clock or ledger.
"""
