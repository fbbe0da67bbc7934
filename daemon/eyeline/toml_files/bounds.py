"""What a TOML text may cost: its size and its nesting, looked at before the parser works on it.

The standard parser takes time with the square of the parts of a dotted key, and recurses into arrays and
inline tables; anybody may drop a file into a watched folder. One walk over the text, in linear time.
"""

from __future__ import annotations

import re

LARGEST_CHARACTERS = 65_536
"""A hundred times what a long file needs."""

DEEPEST = 32
"""Parts of a dotted key, and levels of arrays and inline tables: rules have six."""

_PART = r"""(?:[A-Za-z0-9_-]++|"(?:\\.|[^"\\\n])*+"|'[^'\n]*+')"""
_TOKEN = re.compile(
    r'(?s:"""(?:\\.|[^\\])*?(?:"""|\Z))'  # what is not closed reaches to the end
    r"|(?s:'''.*?(?:'''|\Z))"
    r"|\#[^\n]*+"
    rf"|(?P<deep>(?:{_PART}[ \t]*+\.[ \t]*+){{{DEEPEST}}})"
    rf"|{_PART}"
    r"""|"(?:\\.|[^"\\\n])*+|'[^'\n]*+"""
    r"|(?P<opens>[\[{])|(?P<closes>[\]}])"
)


def excess(text: str) -> tuple[int | None, str] | None:
    """Line and words for what `text` has too much of; None where its size and nesting are fair."""
    if len(text) > LARGEST_CHARACTERS:
        return None, f"it has {len(text):,} characters, and at most {LARGEST_CHARACTERS:,} are read"
    depth = 0
    for token in _TOKEN.finditer(text):
        if token["opens"]:
            depth += 1
        elif token["closes"]:
            depth -= 1
        if token["deep"] or depth > DEEPEST:
            line = text.count("\n", 0, token.start()) + 1
            return line, f"keys, arrays or tables are nested more than {DEEPEST} deep"
    return None
