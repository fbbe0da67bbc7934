"""Exit codes of the command."""

DONE, SOME_UNREADABLE, MISUSED = 0, 1, 2
"""Done; some photos could not be read (each is named); usage, configuration or a folder's own file."""

INTERRUPTED = 130
"""After Ctrl-C: 128 + SIGINT, as shells have it."""

NOT_SAID = 74
"""Done, but its words could not be written (EX_IOERR of sysexits.h): stdout is closed, or its disk full."""
