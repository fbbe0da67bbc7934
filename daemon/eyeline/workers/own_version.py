"""Which eyeline this is."""

from functools import cache
from importlib.metadata import version


@cache
def own_version() -> str:
    """The version that is installed, read from disk once."""
    return version("eyeline")
