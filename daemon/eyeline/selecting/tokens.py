"""What a client wrote as words, numbers, names and marks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from eyeline.selecting import words as known
from eyeline.selecting.name import FrameName, frame_name

_TOKEN = re.compile(
    rf"(?P<file>[^\W_][\w+-]*(?: ?\(\d+\))?\.(?:{known.FILE_ENDINGS}))(?!\w)"
    r"|(?P<stem>[^\W\d_]\w*_\d+(?:[-_][^\W\d_]+)?(?: ?\(\d+\))?"
    r"|[^\W\d_]{1,10}-?\d{3,}(?:[-_][^\W\d_]+)?)(?!\w)"
    r"|(?P<number>\d+)(?!\w)"
    r"|(?P<odd>\d{3,}\w+|\w*\d{3,}\w*)"
    r"|(?P<span>\.{2,3}|->|→|-)"
    r"|(?P<word>t/m|[^\W\d_]+(?:['-][^\W\d_]+)*\.?|[✓✔✅👍❤♥★✗✘❌👎✖&+])"
    r"|(?P<stop>[.!;](?=\s|$)|\n)"
    r"|(?P<doubt>\?)"
    r"|(?P<comma>[,/:|\t])",
    re.IGNORECASE,
)
_ENUMERATED = re.compile(r"^[ \t]*(\d{1,3})[.)][ \t]+(?=\S*\d)", re.MULTILINE)
_ENUMERATED_INSIDE = re.compile(r"(?<![^\s,;:(])(\d{1,2})[.)][ \t]+(?=\S*\d)")
_BULLET = re.compile(r"^[ \t]*[-*•·][ \t]*(?=\S)", re.MULTILINE)
_NOT_ONLY = re.compile(
    r"\b(?:not only|nicht nur|pas seulement|non solo|no s[óo]lo|niet alleen)\b", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Token:
    """`kind`: file, stem, number, odd, span, word, sign, stop, doubt, comma. `text`: words in lower case."""

    kind: str
    text: str


def tokens_in(text: str) -> list[Token]:
    """The tokens of a client's own words, without bullets and the numbers of a numbered list."""
    plain = _NOT_ONLY.sub(" ", _BULLET.sub("", text))
    return list(_tokens(plain))


def unnumbered(text: str) -> str:
    """`text` without the numbers of a numbered list: 1, 2, 3, each before what has a number itself, a line
    each or in one line."""
    for pattern in (_ENUMERATED, _ENUMERATED_INSIDE):
        found = list(pattern.finditer(text))
        counted = [int(each[1]) for each in found] == list(range(1, len(found) + 1))
        between = [text[one.end() : other.start()] for one, other in pairwise(found)]
        if len(found) > 1 and counted and all(re.search(r"\d", each) for each in between):
            return pattern.sub("", text)
    return text


def _tokens(text: str) -> Iterator[Token]:
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup or ""
        said = match[0]
        if kind == "word":
            said = said.casefold()
            if said.endswith(".") and said[:-1] not in known.ON_A_NUMBER:
                yield Token("word", said[:-1])
                yield Token("stop", ".")
                continue
            said = "no" if match[0] in ("No.", "no.", "NO.") else said.rstrip(".")
            if match[0] in ("No", "NO", "No.", "no.", "NO.", "Nos.", "nos."):
                kind = "sign"
        yield Token(kind, said)


def span_inside(text: str) -> tuple[FrameName, FrameName] | None:
    """The two ends of IMG_0217-IMG_0220 or IMG_0217-0220.jpg, which look like one name; else None."""
    match = re.fullmatch(
        rf"([^\W\d_]\w*?_?\d+)-((?:[^\W\d_]\w*?_?)?\d{{2,}})(?:\.(?:{known.FILE_ENDINGS}))?",
        text,
        re.IGNORECASE,
    )
    return (frame_name(match[1]), frame_name(match[2])) if match else None
