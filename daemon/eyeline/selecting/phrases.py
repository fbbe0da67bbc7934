"""Turns of several words: those that refuse as one word does, and those that leave open what is meant.

Everyday phrases of the languages of `words`, as any dictionary has them.
"""

from __future__ import annotations

import re

_THANKS = "thanks|thank you|danke|merci|gracias|grazie|obrigad[oa]|bedankt|dank je|tack|tak|takk|kiitos"
_OF = "of|from|among|between|von|aus|unter|de|des|parmi|entre|di|da|tra|van|uit|av|af|bland"

_THE = (
    r"(?:(?:the|these|der|die|das|la|il|lo|el|den|diesen|les|ces|las|los|le|gli|de|deze|photos?|pictures?"
    r"|frames?|shots?|bildern?|fotos?|images|imágenes|foto|nr\.?|no\.?|n°|#) ?){0,3}"
)
_NUMBER = r"[^\W\d_]{0,12}_?\d{1,12}"

_INSTEAD = (
    r"(?:\b(?:instead of|rather than|in place of|(?:an)?statt|anstelle(?: von)?|au lieu d[eu]s?"
    r"|en (?:lugar|vez) de|invece (?:di|della?|del)|em vez d[eao]s?|in plaats van|i ?stället för"
    r"|i ?stedet for|zamiast|místo)\b|\bplutôt qu[e'])"
)
_FORGET = (
    r"(?:forget(?: about)?|vergiss|vergesst|vergessen sie|oublie[zr]?|olvid(?:a|ad|e|en)|dimentica(?:te)?"
    r"|vergeet|esqueça)"
)
_IN_ONE_WORD = (
    (rf"\b(no|non|nein|nee|nej|nei|não|nao),? (?:{_THANKS})\b", "no"),
    (
        r"\b(?:do not|don't|nicht|bitte nicht|n'oublie[zr]? pas|ne pas|no|non) "
        r"(?:forget|vergessen|oublier|olvid(?:ar|e[ns]?)|dimenticare)\b|\bn'oublie[zr]? pas\b",
        " ",
    ),
    (rf"\b{_FORGET} {_THE}({_NUMBER}), ?(?:rather|better|lieber|plutôt|mejor|meglio) ", r" without \1 but "),
    (rf"\b{_FORGET} (?={_THE}{_NUMBER})", " without "),
    (rf"({_NUMBER})[,;] ?(?:(?:please|I|we|rather) )*(?:take|use|include|choose|want|need) ", r"\1 but "),
    (rf"{_INSTEAD} {_THE}({_NUMBER}),? (?={_THE}{_NUMBER})", r" without \1 but "),
    (rf"{_INSTEAD}|\bleav(?:e|ing) out\b", " without "),
    (
        rf"\b(?:none|nothing|keine?[snr]?|aucune?|ningun[oa]|nessun[oa]?|geen|nenhuma?|inga|ingen) "
        rf"(?:{_OF}|der|del|dei|delle)\b(?: (?:the|den|diesen|les|las|los|le|gli|de|det)\b)?",
        " without ",
    ),
    (r"\bweder\b(.{1,80}?)\bnoch\b", r" ohne \1 ohne "),
    (r"\bneither\b(.{1,80}?)\bnor\b", r" without \1 without "),
    (r"(?<![\w'])ni\b(.{1,80}?)(?<![\w'])ni\b", r" sans \1 sans "),
    (r"(?<![\w'])n[éè]\b(.{1,80}?)(?<![\w'])n[éè]\b", r" senza \1 senza "),
    (r"\b(no|non) (?:me gustan?|mi piac(?:e|ciono)|quiero|queremos|voglio|vogliamo)\b", " sin "),
)
"""Pattern, and the word of `words` that says the same."""

_SOME = (
    r"one|two|three|four|five|six|any|some|a few|half|every other|\d{1,2}|eine?[snmr]?|zwei|drei|vier|fünf"
    r"|sechs|einige|ein paar|jede[ns]? zweite|une?|deux|trois|quatre|cinq|quelques-une?s|un[oa]|dos|cuatro"
    r"|cinco|algun[oa]s?|due|tre|quattro|cinque|alcun[ei]|een|één|twee|drie|vijf|enkele|ett|två|tre|några|to|nogle"
)
_DISLIKE = r"(?:hate|dislike|hasse|déteste|odio|detesto|haat|hatar|hader)"
_POOR = (
    r"(?:awful|terrible|horrible|dreadful|ugly|bad|worst|schrecklich|furchtbar|grässlich|hässlich|schlecht|raus"
    r"|affreux|affreuse|moche|horribles?|fe[oa]s?|brutt[oae]|orribil[ei]|feios?|feias?|vreselijk|lelijk|hemsk|fæl)"
)
_OPEN = (
    (
        rf"(?<![\w-])(?:{_SOME}) (?:{_OF}) {_THE}{_NUMBER}(?: ?(?:-|to|bis|à|a|tot|and|und) ?{_NUMBER})?",
        "which of them?",
    ),
    (
        rf"{_NUMBER} (?:onwards?|ff?\.|(?:and|und|et|y|e|en|och|og) (?:(?:the|die|den|les|las|los|le|i|de) )?"
        r"(?:next|following|folgenden?|nächsten?|suivantes?|siguientes|seguenti|seguintes|volgende|följande"
        r"|følgende)\b)",
        "up to which?",
    ),
    (
        rf"\b(?:from {_THE}{_NUMBER} on(?:wards?)?\b|ab {_THE}{_NUMBER}"
        rf"|(?:à|a) partir d[eoi]s? {_THE}{_NUMBER})",
        "up to which?",
    ),
    (
        rf"\b(?:lieber|eher|besser|prefer|better|préfère|préférons|plutôt|prefiero|preferimos|mejor|meglio"
        rf"|preferisco|prefiro|liever|hellre|hellere) {_THE}{_NUMBER} "
        rf"(?:als|than|to|over|que|à|a|di|dan|än|end) {_THE}{_NUMBER}",
        "only the first?",
    ),
    (
        rf"{_NUMBER}[^\n.;!?\d]{{0,30}}\b(?:only if|nur,? wenn|nur,? falls|seulement si|s[óo]lo si|solo se"
        r"|só se|alleen als|bara om|kun hvis)\b",
        "that is a condition",
    ),
    (
        rf"{_NUMBER}[^\n.;,!?\d]{{0,30}}\b(?:löschen|weglassen|streichen|rauslassen|auslassen|fällt weg"
        r"|fallen weg|supprimer|borrar|eliminar|cancellare|apagar)\b",
        "is it wanted?",
    ),
    (rf"\b{_DISLIKE} {_THE}{_NUMBER}", "is it wanted?"),
    (rf"{_NUMBER}[^\n.;,!?\d]{{0,20}}\b{_POOR}\b", "is it wanted?"),
)
"""Pattern of what does not say which frames are meant, and what is to be asked."""

_REST = re.compile(
    r"\b(?:the rest|(?:all )?(?:the )?others|(?:der|den) rest|(?:die|alle) (?:anderen|übrigen|restlichen)"
    r"|les autres|tous les autres|(?:las|los) (?:demás|otr[oa]s)|(?:le|gli) altr[ie]|as outras|os outros"
    r"|de (?:andere|rest)|resten|de andra|de andre)\b",
    re.IGNORECASE,
)
_TOO = re.compile(
    r"\b(?:yes|ja|oui|sí|sì|sim|too|as well|auch|aussi|también|anche|também|ook|också|også)\b", re.IGNORECASE
)
_CLAUSE_ENDS = re.compile(r"[\n.;!?]")

_REPLACED = tuple((re.compile(pattern, re.IGNORECASE), instead) for pattern, instead in _IN_ONE_WORD)
_DOUBTFUL = tuple((re.compile(pattern, re.IGNORECASE), question) for pattern, question in _OPEN)


def in_single_words(text: str) -> str:
    """`text` with each turn that refuses replaced by a word that does: "213 instead of 214" is "213 without
    214"."""
    for pattern, instead in _REPLACED:
        text = pattern.sub(instead, text)
    return text


def left_open(text: str) -> list[str]:
    """What does not say which frames are meant ("two of 213-217", "213 onwards"), a sentence each."""
    return [
        f"“{found[0].strip()}”: {question}"
        for pattern, question in _DOUBTFUL
        for found in pattern.finditer(text)
    ]


def asks_for_the_rest(text: str, names_some: bool) -> str | None:
    """The client's words for all frames that they did not name, where they seem to want those: always where
    the answer names none that is wanted, else (`names_some`) where a yes stands in the same sentence."""
    for found in _REST.finditer(text):
        sentence = _CLAUSE_ENDS.split(text[found.end() :], maxsplit=1)[0]
        if not names_some or _TOO.match(sentence.strip(" ,:-")):
            return found[0]
    return None
