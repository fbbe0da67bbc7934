"""What a client wrote of all that was pasted: without the quoted mail, the signature, dates and numbers that
name no frame."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable

from eyeline.selecting.words import MANY_OF_THESE, MONTHS, ONE_OF_THESE

_HEADER = re.compile(
    r"(?:from|to|cc|bcc|sent|date|subject|reply-to|von|an|gesendet|datum|betreff|de|à|envoyé|objet|para|enviado"
    r"|asunto|fecha|da|inviato|oggetto|data|van|verzonden|onderwerp|aan|fra|sendt|emne|från|skickat|ämne):\s",
    re.IGNORECASE,
)
_WROTE = r"\b(?:wrote|schrieb|a écrit|escribió|ha scritto|schreef|skrev|napisał\(?a?\)?|escreveu)\b"
_QUOTE_BEGINS = re.compile(
    r"-+\s*(?:original message|ursprüngliche nachricht|message d'origine|mensaje original"
    r"|messaggio originale|oorspronkelijk bericht|forwarded message|weitergeleitete nachricht)\s*-+"
    r"|_{10,}"
    rf"|(?:on|am|le|el|il|op|den|dnia|em)\b.*{_WROTE}.*",
    re.IGNORECASE,
)
_ATTRIBUTION = re.compile(rf".*{_WROTE}\s*:\s*", re.IGNORECASE)
_SENT_FROM = re.compile(
    r"(?:sent from|get outlook|von meinem|gesendet (?:von|mit)|envoyé de|enviado desde|inviato da"
    r"|verzonden vanaf|skickat från)\b",
    re.IGNORECASE,
)
_SIGN_OFF = re.compile(
    r"(?:(?:best|kind|warm|many|with)\s+)*(?:regards|wishes)\b|sincerely|cheers"
    r"|yours (?:truly|sincerely|faithfully)"
    r"|(?:mit )?(?:freundlichen|besten|herzlichen|lieben|viele[nr]?|liebe|beste|herzliche|schöne)"
    r"\s+grü(?:ß|ss)e?n?|mfg\b"
    r"|cordialement|bien (?:à vous|cordialement)|(?:un )?cordial(?:es)? saludos?|saludos"
    r"|cordiali saluti|distinti saluti|met vriendelijke groet(?:en)?"
    r"|(?:med )?(?:vänliga hälsningar|venlig hilsen|vennlig hilsen)|atenciosamente|atentamente"
    r"|un (?:saludo|abrazo)\b",
    re.IGNORECASE,
)
_SHORT_SIGN_OFF = re.compile(
    r"(?:(?:all the |my )?best|lg|vg|glg|mvh|bisous|amitiés|abraços?|groet(?:en|jes)?)\b[ ,.!]*"
    r"(?:[^\W\d_]+[ .]*){0,3}",
    re.IGNORECASE,
)
"""Alone on its line, or with a name."""
_POSTSCRIPT = re.compile(r"p\.?\s?s\b\.?", re.IGNORECASE)

MOST_LETTERS = 200_000
"""Of a pasted text: a mail with its whole thread has a few thousand; more is no answer."""

_NO_NAME = re.compile(r"[\w+-]{256,}")
"""Longer than any file's name may be (255 bytes on the usual file systems): encoded data, no words."""

_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-") | {"’": "'", "‘": "'", "\u00a0": " ", "\u202f": " "})
_NUMBER_SIGN = re.compile(r"№|\b[nN][º°]")

_PHONE_LABEL = (
    r"(?:tel|telephone|telefon|telefono|teléfono|tél|téléphone|phone|mobile|mobil|mob|cell|handy|fon|fax"
    r"|whatsapp|call(?: me)?(?: at| on)?)"
)
_PRAISED = (
    r"(?:(?:more|other|final|retouched|favou?rite|best|beautiful|great|small|large|of the|of|weitere"
    r"|schöne) )*"
)
_NAME = r"(?-i:[A-ZÀ-ÖØ-Þ])[\w'-]+"
_POSTCODE = r"(?:,? (?:[A-Z]{1,2}-)?\d{4,5}\b(?= ?[^\W\d]))?"
_ADDRESSES = (
    rf"\b\d{{1,4}}[a-z]?,? (?:{_NAME} ){{1,3}}"
    r"(?-i:Street|St|Road|Rd|Lane|Ln|Avenue|Ave|Drive|Square|Terrace)\b",
    r"\b(?-i:[A-ZÄÖÜ])\w+-?(?:straße|strasse|str\.|weg|gasse|platz|allee) ?\d{1,4}[a-z]?\b" + _POSTCODE,
    rf"\b{_NAME} (?-i:Straße|Strasse|Str\.|Platz|Allee|Gasse) ?\d{{1,4}}[a-z]?\b{_POSTCODE}",
    r"\b\d{1,4}(?: (?:bis|ter))?,? (?:rue|avenue|boulevard|bd|chemin|quai|impasse)\b[^\n\d,]{0,40}"
    + _POSTCODE,
    rf"(?<!\w)(?:calle|c/|avenida|avda\.|plaza|rua|viale|piazza) {_NAME}[^\n\d]{{0,40}}\d{{1,4}}\b"
    + _POSTCODE,
    r"(?-i:\b[A-Z]{1,2}\d[A-Z\d]? \d[A-Z]{2}\b)",
)
"""Postal addresses as signatures have them; the last is a British postcode."""

_NO_FRAMES = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        r"\S+@\S+\.\w+",
        r"(?:https?://|www\.)\S+",
        rf"\b{_PHONE_LABEL}\b[.: ]*\+?[\d(][\d ()/.-]{{4,}}\d",
        r"\+\d[\d ()/.-]{6,}\d",
        r"\(0?\d{2,5}\) ?\d[\d /-]{4,}\d",
        r"\b0\d{2,5}[ /-]\d{5,}\b",
        r"\b\d{3}-\d{3}-\d{4}\b",
        r"\b\d{4}-\d\d-\d\d(?:T[\d:]+)?\b",
        r"\b\d{1,2}[./]\d{1,2}[./](?:\d{4}|\d{2})\b",
        rf"\b\d{{1,2}}(?:st|nd|rd|th|er|º|ª)?\.? (?:of |de |di )?(?:{MONTHS})\b\.?(?:,? (?:19|20)\d\d)?",
        rf"\b(?:{MONTHS})\b\.? \d{{1,2}}(?:st|nd|rd|th)?\b(?:,? (?:19|20)\d\d)?",
        rf"\b(?:{MONTHS})\b\.? (?:19|20)\d\d\b",
        r"(?:\bin|\bsince|\bseit|\ben|©|\(c\)) (?:19|20)\d\d\b(?! ?[,&+-])",
        r"\b\d{1,2}(?:st|nd|rd|th)\b",
        r"\b\d{1,2}[:h]\d\d(?::\d\d)?(?: ?[ap]\.?m\b\.?| ?uhr\b| ?h\b)?",
        r"\b\d{1,2}(?::\d\d)? ?(?:a\.?m\b\.?|p\.?m\b\.?|uhr\b|o'clock)",
        r"[€$£] ?\d[\d.,]*",
        r"\b\d[\d.,]* ?(?:€|\$|£|(?:euros?|eur|usd|gbp|chf|dollars?|pounds|franken)\b)",
        r"\b\d+(?:[.,]\d+)? ?(?:%|percent\b|prozent\b|pour cent\b)",
        r"\b\d+(?:[.,]\d+)? ?(?:px|pixels?|dpi|ppi|mb|kb|gb|cm|mm|inch(?:es)?)\b",
        r"\b\d{1,2}[x×](?= \d{2,})",  # "2x 213"
        r"(?<=\d\d\d) ?[x×] ?\d\b",  # "213 x 2"
        r"\b\d+ ?[x×] ?\d+\b(?: ?(?:px|cm|mm|in)\b)?",
        r"(?:\bx ?\d\b|\(\d ?x\)|\b\d{1,2}x\b)",
        rf"\b\d{{1,2}} {_PRAISED}(?:{MANY_OF_THESE})\b",
        rf"\b1 (?:{ONE_OF_THESE})\b",
        r"\b(?:din[ -]?)?a[0-8]\b(?!\.\w)",  # sizes of paper, ISO 216
        *_ADDRESSES,
        r"\b(?:all|my|our|first|last|top|other|these|those) \d\b(?! ?[-,&+/])",
    )
)
_PHONE_GROUPS = re.compile(r"\b0\d{2,4}(?: \d{2,4}){2,}\b")


def in_plain_signs(text: str) -> str:
    """`text` with digits of every script as 0 to 9, one kind of dash, of blank and of number sign."""
    text = _NO_NAME.sub(" ", _NUMBER_SIGN.sub("#", text[:MOST_LETTERS]))
    text = unicodedata.normalize("NFKC", text).translate(_DASHES)
    text = "".join(sign if sign.isascii() else _digit(sign) for sign in text)
    return text.replace("\r\n", "\n").replace("\r", "\n")


def own_words(text: str) -> str:
    """The lines that the client wrote: no headers, no quoted mail, nothing below the signature."""
    lines = text.split("\n")
    kept: list[str] = []
    row = 0
    signed = False
    while row < len(lines):
        line = lines[row].strip()
        if line == "--" or lines[row].rstrip() == "--" or _SENT_FROM.match(line):
            break
        begins, length = _quote_at(lines, row)
        if begins:
            rest = [each.strip() for each in lines[row + length :]]
            first = next((each for each in rest if each), "")
            if not first.startswith(">"):
                break  # all that follows is the mail that was answered
            row += length
            continue
        if _POSTSCRIPT.match(line):
            signed = False
        if kept and (_SIGN_OFF.match(line) or _SHORT_SIGN_OFF.fullmatch(line)):
            signed = True
        if not (line.startswith((">", "|")) or _HEADER.match(line) or signed):
            kept.append(lines[row])
        row += 1
    return "\n".join(kept)


def without_other_numbers(text: str) -> tuple[str, tuple[str, ...]]:
    """`text` without dates, times, telephone numbers, sums, sizes and counts; and what those were."""
    found: list[str] = []

    def blank(match: re.Match[str]) -> str:
        found.append(match[0].strip())
        return " ~ "

    for pattern in _NO_FRAMES:
        text = pattern.sub(blank, text)
    text = _PHONE_GROUPS.sub(_unless_a_list(blank), text)
    return text, tuple(found)


def _unless_a_list(blank: Callable[[re.Match[str]], str]) -> Callable[[re.Match[str]], str]:
    def decide(match: re.Match[str]) -> str:
        groups = match[0].split()
        is_list = len({*map(len, groups)}) == 1 and all(group.startswith("0") for group in groups)
        return match[0] if is_list else blank(match)

    return decide


def _quote_at(lines: list[str], row: int) -> tuple[bool, int]:
    """Whether the line at `row` introduces a quoted mail, and over how many lines: long ones are folded."""
    line = lines[row].strip()
    if _QUOTE_BEGINS.fullmatch(line):
        return True, 1
    following = lines[row + 1].strip() if row + 1 < len(lines) else ""
    if re.match(r"(?:on|am|le|el|il|op|den|em)\b", line, re.IGNORECASE) and _ATTRIBUTION.fullmatch(following):
        return True, 2
    return False, 0


def _digit(sign: str) -> str:
    return str(unicodedata.digit(sign)) if sign.isdigit() else sign
