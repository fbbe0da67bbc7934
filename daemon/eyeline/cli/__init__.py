"""Words in, words and exit codes out: one file a verb. All work is done by the room `run`."""
