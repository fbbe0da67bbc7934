"""Numbers that a client wrote as words, in digits: "photo seven", "two hundred and thirteen".

A small number alone is a count as often as a frame ("send me two"), so those up to twelve, in English and
German up to ninety-nine, are read only behind a word for number or photo, or in a list behind one; hundreds,
in these two, everywhere. What goes on as a count does is none: "photo 213 and two more", "one of the group".
"""

from __future__ import annotations

import re

from eyeline.selecting.words import AND

_SMALL = """one two three four five six seven eight nine ten eleven twelve
eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf
un deux trois quatre cinq six sept huit neuf dix onze douze
uno dos tres cuatro cinco seis siete ocho nueve diez once doce
uno due tre quattro cinque sei sette otto nove dieci undici dodici
um dois três quatro cinco seis sete oito nove dez onze doze
één twee drie vier vijf zes zeven acht negen tien elf twaalf
ett två tre fyra fem sex sju åtta nio tio elva tolv
en to tre fire fem seks syv otte ni ti elleve tolv""".splitlines()
"""One to twelve; a line a language: English, German, French, Spanish, Italian, Portuguese, Dutch, Swedish,
and Danish with Norwegian."""

_OTHER_WORDS = frozenset("to en un um ni ti".split())
"""Numbers of one language that are a small word of another."""

_TEENS = {
    "en": "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split(),
    "de": "zehn elf zwölf dreizehn vierzehn fünfzehn sechzehn siebzehn achtzehn neunzehn".split(),
}
_TENS = {
    "en": "twenty thirty forty fifty sixty seventy eighty ninety".split(),
    "de": "zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig".split(),
}
_ENGLISH_UNITS, _GERMAN_UNITS = _SMALL[0].split()[:9], ["ein", *_SMALL[1].split()[1:9]]


def _below_hundred() -> dict[str, int]:
    """Small numbers by their words: one to twelve in every language here, to ninety-nine in two."""
    found = {
        word: number
        for line in _SMALL
        for number, word in enumerate(line.split(), 1)
        if word not in _OTHER_WORDS
    }
    for language in ("en", "de"):
        found |= {word: number for number, word in enumerate(_TEENS[language], 10)}
        found |= {word: 10 * number for number, word in enumerate(_TENS[language], 2)}
    for tens, (english, german) in enumerate(zip(_TENS["en"], _TENS["de"], strict=True), 2):
        for unit, (one, eins) in enumerate(zip(_ENGLISH_UNITS, _GERMAN_UNITS, strict=True), 1):
            value = 10 * tens + unit
            found |= {f"{english}-{one}": value, f"{english} {one}": value, f"{eins}und{german}": value}
    return found | {word.replace("ß", "ss"): number for word, number in found.items() if "ß" in word}


_IN_WORDS = _below_hundred()

_NUMBER = "number|no\\.|nr\\.?|nummer|numéro|numero|número|n°|nº"
_PHOTO = "photo|picture|image|frame|shot|bild|foto|aufnahme|imagen|immagine|imagem|billede|bilde"
_ONES = ("one", "eins", "uno", "één", "ett")
"""Behind another frame these are "one with glasses" as often as a number."""

_COUNTED = (
    "of more others? another hundred times? von mehr weitere andere mal de des autres? más mas otr[oa]s? di "
    "più altr[ie] mais outr[oa]s? van meer af av till fler andra flere til andre"
).split()
"""What follows a count and no frame."""

_JOIN = rf"(?:\s*,\s*|\s+(?:{'|'.join(map(re.escape, sorted(AND)))})\s+)"
_WORD = rf"(?:{'|'.join(sorted(_IN_WORDS, key=len, reverse=True))})\b(?!\s+(?:{'|'.join(_COUNTED)})\b)"
_LATER = rf"(?!(?:{'|'.join(_ONES)})\b(?!\s*(?:$|[.,;:!?)\n]|please\b|bitte\b)|{_JOIN})){_WORD}"
_LIST = re.compile(
    rf"\b(?:{_NUMBER}|{_PHOTO})[sen]?[sr]?\s+(?:\d+|{_WORD})(?:{_JOIN}(?:\d+|{_LATER}))*", re.IGNORECASE
)
_IN_LIST = re.compile(rf"\b{_WORD}", re.IGNORECASE)


def _any(words: list[str]) -> str:
    return "|".join(sorted(words, key=len, reverse=True))


_HUNDREDS = re.compile(
    rf"\b(?P<hundreds>{_any(_ENGLISH_UNITS)}|a)[ -]hundred"
    rf"(?:(?:,? and | and|[ -])(?:(?P<teen>{_any(_TEENS['en'])})"
    rf"|(?P<ten>{_any(_TENS['en'])})(?:[ -](?P<unit>{_any(_ENGLISH_UNITS)}))?"
    rf"|(?P<only>{_any(_ENGLISH_UNITS)}))\b)?+(?!\w| of\b)",
    re.IGNORECASE,
)
_HUNDERTE = re.compile(
    rf"\b(?P<hundreds>{_any(_GERMAN_UNITS)})?hundert(?:und)?(?:(?P<teen>{_any(_TEENS['de'])})"
    rf"|(?:(?P<unit>{_any(_GERMAN_UNITS)})und)?(?P<ten>{_any(_TENS['de'])})"
    rf"|(?P<only>{_any([*_GERMAN_UNITS, 'eins'])}))?\b(?! von\b)",
    re.IGNORECASE,
)


def in_digits(text: str) -> str:
    """`text` with the numbers that are surely numbers of frames in digits."""
    text = _HUNDREDS.sub(lambda found: _value(found, "en"), text)
    text = _HUNDERTE.sub(lambda found: _value(found, "de"), text)
    return _LIST.sub(lambda found: _IN_LIST.sub(lambda word: str(_IN_WORDS[word[0].lower()]), found[0]), text)


def _value(found: re.Match[str], language: str) -> str:
    if found["hundreds"] in ("a", "A", None) and not any((found["teen"], found["ten"], found["only"])):
        return found[0]  # "a hundred thanks"
    units = _ENGLISH_UNITS if language == "en" else _GERMAN_UNITS

    def unit(word: str | None) -> int:
        said = (word or "").lower()
        return 1 if said in ("a", "eins") else units.index(said) + 1 if said else 0

    value = 100 * max(1, unit(found["hundreds"])) + unit(found["unit"]) + unit(found["only"])
    if found["teen"]:
        value += 10 + _TEENS[language].index(found["teen"].lower())
    if found["ten"]:
        value += 20 + 10 * _TENS[language].index(found["ten"].lower())
    return str(value)
