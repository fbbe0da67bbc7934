"""`python -m eyeline` is the command `eyeline`."""

import sys

from eyeline.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
