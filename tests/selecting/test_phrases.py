"""Turns of several words in a client's answer: what they refuse, and what they leave open.

The right-hand side was written down by hand from the words alone.
"""

from __future__ import annotations

import pytest

from eyeline.selecting.answer import answer_in
from tests.selecting.test_answer import in_short


@pytest.mark.parametrize(
    ("text", "means"),
    [
        # One frame instead of another.
        ("213 instead of 214", "213 / 214"),
        ("213 rather than 214", "213 / 214"),
        ("Instead of 214, 213 please", "213 / 214"),
        ("213 statt 214", "213 / 214"),
        ("statt der 214 die 213", "213 / 214"),
        ("213 plutôt que la 214", "213 / 214"),
        ("la 213 en lugar de la 214", "213 / 214"),
        ("213 invece di 214", "213 / 214"),
        # None of these.
        ("none of 213-217, only 221", "221 / 213..217"),
        ("Keine von 213-217, nur die 221.", "221 / 213..217"),
        ("aucune de 213 à 217, seulement la 221", "221 / 213..217"),
        ("ninguna de 213 a 217, solo la 221", "221 / 213..217"),
        ("neither 213 nor 214, but 215", "215 / 213 214"),
        ("weder 213 noch 214", "/ 213 214"),
        ("dazu noch 213", "213"),
        ("ni la 213 ni la 214", "/ 213 214"),
        # No, with thanks.
        ("213, 214. La 223, non merci !", "213 214 / 223"),
        ("213 yes. 223 no thanks", "213 / 223"),
        ("223, nein danke", "/ 223"),
        ("223, no gracias", "/ 223"),
        ("No me gusta la 214, sí la 213", "213 / 214"),
        ("please leave out 214", "/ 214"),
        ("Don't forget 213", "213"),
        ("Forget 213, take 214", "214 / 213"),
        ("Don't use 213, please take 214 and 215", "214 215 / 213"),
        ("We like 213, please include 214", "213 214"),
        ("Vergiss die 213, lieber 214", "214 / 213"),
        ("Oubliez la 213, prenez la 214", "214 / 213"),
        ("213 und 214, bitte nicht vergessen", "213 214"),
        # Lists counted in one line.
        ("1. 217  2. 221  3. 229", "217 221 229"),
        ("1) DSC_0213 2) DSC_0214", "dsc213 dsc214"),
        ("1. 2. 3.", "1 2 3"),
        # Counts and sizes of paper.
        ("213 (1 Abzug), 214 (1 copy)", "213 214"),
        ("2x 213, 1x 214, 215 x 3", "213 214 215"),
        ("213 for an A5 flyer, 214 in DIN A4", "213 214"),
    ],
)
def test_a_turn_of_several_words_means(text: str, means: str) -> None:
    answer = answer_in(text)
    assert (in_short(answer), answer.doubts) == (means, ())


@pytest.mark.parametrize(
    "text",
    [
        "one of 213-217",
        "zwei von 213 bis 217",
        "une de 213 à 217",
        "jede zweite von 213-220",
        "213 onwards",
        "ab 213",
        "à partir de la 213",
        "213 and the next two",
        "213 und die folgenden",
        "lieber 213 als 214",
        "mejor la 213 que la 214",
        "218 nur wenn Retusche möglich ist",
        "213 only if you can retouch it",
        "213 bitte löschen",
        "213 and I hate 214",
        "213, 214 ist schrecklich",
        "213, la 214 est affreuse",
        "213. 214 raus",
        "213 no, the rest yes",
        "Las fotos 213 a 216 no, las demás sí",
        "213 ja, 214 nein, die anderen auch",
    ],
)
def test_what_a_turn_leaves_open_is_a_doubt(text: str) -> None:
    assert answer_in(text).doubts


@pytest.mark.parametrize(
    "signature",
    [
        "Best, Anna\n217 Baker Street, London NW1 6XE",
        "Thanks,\nAnn Vale\n14 Mill Lane",
        "Un saludo,\nAna\nC/ Mayor 24, 28013 Madrid",
        "Merci\nJean\n14 rue des Lilas, 75002 Paris",
        "LG\nGerda\nMühlweg 14",
        "Danke!\nGerda Vale, Hauptstraße 217, 80331 München",
        "Danke!\nGerda Vale, Berliner Straße 5",
        "Mvh\nKarin\nGatan 12",
    ],
)
def test_numbers_of_an_address_name_no_frame(signature: str) -> None:
    assert in_short(answer_in(f"213 und 215.\n\n{signature}\n")) == "213 215"


def test_a_greeting_is_no_end_of_the_mail() -> None:
    assert in_short(answer_in("Best Anna,\n213 please.\nBitte weg 214")) == "213 / 214"


def test_encoded_data_is_no_word() -> None:
    assert in_short(answer_in("213\n" + "a1" * 2_000 + "\n214")) == "213 214"
