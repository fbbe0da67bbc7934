"""The words that clients join, span and refuse frames with, in the languages that they write in.

English, German, French, Spanish, Italian, Portuguese, Dutch, Danish, Norwegian, Swedish, Finnish, Polish and
Czech: everyday words, as any dictionary has them. All are compared in lower case.
"""

from __future__ import annotations

AND = frozenset("and & + plus und et y e ed en och og ja oraz i a sowie also too as well".split())

OR = frozenset("or oder ou o u of eller tai lub albo nebo either entweder".split())

TO = frozenset("to through thru till until upto bis à al hasta até ate tot til do až az t/m".split())
"""Between two numbers: all from the one to the other. The Spanish and Italian `a` is told from the Czech
"and" by what stands beside it, see `answer`."""

A_BETWEEN = "a"

BETWEEN = frozenset("between zwischen entre tra fra tussen mellan mellem mellom między mezi".split())

NOT = frozenset(
    """not without except excluding exclude minus skip drop omit remove delete reject never don't dont doesn't
    nicht ohne außer ausser kein keine keinen keines weg
    pas sans sauf excepté hormis
    sin excepto menos salvo excluyendo
    non senza tranne eccetto escluso
    não nao sem exceto
    niet geen zonder behalve
    inte utan utom ikke uden undtagen uten unntatt ei ilman paitsi
    nie bez oprócz prócz ne kromě krome""".split()
)

STRONG_NOT = frozenset("not never don't dont doesn't nicht kein keine pas não nao niet inte ikke nie".split())
"""Those that speak of the frame before them too: "213 is not good"."""

UNLESS_MEANT = frozenset("no nej nein nee".split())
"""Yes or no behind a number is a verdict; `no` before a number is "number" or "not"."""

BUT = frozenset("but aber sondern mais pero sino ma però mas maar men ale".split())
"""Ends a refusal: "not 218 but 219"."""

NOTHING = frozenset("nothing none nichts rien nada niente niets intet ingenting nic".split())
"""Before an exception: "nothing except 213" asks for 213."""

EVERYTHING = frozenset(
    """all everything alle alles tous toutes tout todas todos todo tutte tutti tutto allemaal alla kaikki
    wszystkie všechny vsechny""".split()
)

MAYBE = frozenset(
    """maybe perhaps possibly unsure undecided vielleicht eventuell peut-être quizás quizá forse talvez
    misschien kanske måske kanskje ehkä może možná""".split()
)

ONLY = frozenset(
    "only just nur seulement solo solamente soltanto só somente alleen bara kun bare vain tylko".split()
)

YES = frozenset("yes y x ok okay keep ja oui sí si sim sì kyllä tak ano ✓ ✔ ✅ 👍 ❤ ❤️ ♥ ★".split())

NO = frozenset("no n nein non não nao nee nej nei ei nie ne out ✗ ✘ ❌ 👎 ✖".split())

FILLERS = frozenset(
    """the a an frame frames photo photos picture pictures image images shot shots pic pics file files number
    numbers nos no nr num n want like need take use include choose please of it with
    das die der den dem bild bilder foto fotos nummer nummern datei bitte
    la le les l' photo image numéro numero numéros
    el los las foto fotos imagen número números
    il lo gli immagine immagini foto numeri
    o os as imagem imagens
    de het een foto's beeld
    bilden billede bildet kuva zdjęcie snímek out to for by""".split()
)
"""May stand between a refusal and its number."""

MONTHS = (
    "jan(?:uary|uar|vier)?|ene(?:ro)?|gennaio|feb(?:ruary|ruar|rero|braio)?|févr?(?:ier)?"
    "|mar(?:ch|s|zo)?|märz|mrz|apr(?:il|ile)?|avr(?:il)?|abr(?:il)?|may|mai|mayo|maggio"
    "|jun(?:e|i|io)?|juin|giugno|jul(?:y|i|io)?|juil(?:let)?|luglio|aug(?:ust|ustus)?|août|ago(?:sto)?"
    "|sep(?:t|tember|tembre|tiembre)?|settembre|oct(?:ober|obre)?|okt(?:ober)?|ottobre"
    "|nov(?:ember|embre|iembre)?|dec(?:ember)?|déc(?:embre)?|dez(?:ember)?|dic(?:iembre|embre)?"
)

MANY_OF_THESE = (
    "photos|pictures|pics|images|shots|files|copies|prints|frames|favou?rites|people|persons|days|weeks|hours|hrs"
    "|minutes|mins|months|years|bilder|fotos|aufnahmen|dateien|kopien|abzüge|tage|tagen|wochen|stunden|minuten"
    "|personen|clichés|tirages|jours|semaines|heures|copias|días|semanas|horas|copie|giorni|settimane|ore"
    "|stück|stk|pcs|pieces|exemplare|ausdrucke|ejemplares|exemplaires|stampe|afdrukken|foto's|dagen|weken|uur|headshots|portraits|options|choices|looks|versions|selects|finals"
)

ONE_OF_THESE = (
    "copy|print|file|abzug|kopie|ausdruck|datei|mal|tirage|exemplaire|copia|stampa|afdruk|exemplar|kopia"
)

FILE_ENDINGS = "jpe?g|png|tiff?|hei[cf]|webp|avif|dng|cr[23]|nef|arw|raf|orf|rw2|pef|psd|pdf"

ON_A_NUMBER = frozenset(
    """no nr num number nummer numero numéro número pic photo foto picture image bild frame shot file datei
    imagen immagine n n. nos nrs""".split()
)
"""Words that may be written onto a number without being part of a file's name: Photo213."""
