"""What clients write, and what they mean by it: a table of spellings.

The right-hand side was written down by hand from the words alone, before the parser was run on them.
"""

from __future__ import annotations

import pytest

from eyeline.selecting.answer import Answer, answer_in
from eyeline.selecting.mention import Asked
from eyeline.selecting.table import answer_in_table

SPELLINGS = [
    # Numbers in any spelling.
    ("213", "213"),
    ("0213", "213"),
    ("#213", "213"),
    ("No. 213", "213"),
    ("no 213", "213"),
    ("nr. 213 and nr. 217", "213 217"),
    ("N° 213 et n° 217", "213 217"),
    ("№ 213", "213"),
    ("photo213, Photo 217", "213 217"),
    ("213", "213"),
    ("٢١٣ ، ٢١٧", "213 217"),
    ("213 217 220", "213 217 220"),
    ("213,217,220", "213 217 220"),
    ("213/217/220", "213 217 220"),
    ("0213 0217 0220", "213 217 220"),
    ("213\n217\n\n220", "213 217 220"),
    ("- 213\n- 217\n* 220", "213 217 220"),
    ("1. 213\n2. 217\n3. 220", "213 217 220"),
    ("1) IMG_0213\n2) IMG_0217", "img213 img217"),
    # Names, with and without endings.
    ("IMG_0231.jpg", "img231"),
    ("img_0231.JPG", "img231"),
    ("IMG_231", "img231"),
    ("NL1_0213-final.tif", "nl1213"),
    ("NL1_0213 (1).jpg and NL1_0217", "nl1213 nl1217"),
    ("DSC00213", "dsc213"),
    ("0213.jpg", "213"),
    # Spans.
    ("217-220", "217..220"),
    ("217 - 220", "217..220"),
    ("217–220", "217..220"),
    ("217 to 220", "217..220"),
    ("217 through 220", "217..220"),
    ("from 217 until number 220", "217..220"),
    ("between 217 and 220", "217..220"),
    ("217-20", "217..220"),
    ("217-9", "217..219"),
    ("220-217", "217..220"),
    ("217...220", "217..220"),
    ("217 bis 220", "217..220"),
    ("de 217 à 220", "217..220"),
    ("de la 217 a la 220", "217..220"),
    ("217 t/m 220", "217..220"),
    ("od 217 do 220", "217..220"),
    ("IMG_0217-0220", "img217..220"),
    ("IMG_0217.jpg to IMG_0220.jpg", "img217..220"),
    ("IMG_0217-IMG_0220", "img217..220"),
    # Joining words of several languages.
    ("213, 217-220 and IMG_0231.jpg, not 218", "213 217..220 img231 / 218"),
    ("213 und 217 sowie 220", "213 217 220"),
    ("213 et 217", "213 217"),
    ("213 y 217", "213 217"),
    ("213 e 217", "213 217"),
    ("213 en 217", "213 217"),
    ("213 & 217 + 220", "213 217 220"),
    ("213 og 217, samt 220", "213 217 220"),
    ("213 oraz 217", "213 217"),
    # Numbers in words.
    ("two hundred and thirteen, not Two Hundred Twenty-One", "213 / 221"),
    ("zweihundertdreizehn und zweihunderteinundzwanzig", "213 221"),
    ("photos seven, eight and twelve", "7 8 12"),
    ("Bild zwölf, numéro cinq, foto tre", "12 5 3"),
    ("213: the picture to be retouched. Send me two of it", "213"),
    ("photos two and one please", "2 1"),
    ("photos seven, twenty-one and Thirty Two, nineteen", "7 21 32 19"),
    ("Bilder einundzwanzig, dreissig und vierzehn", "21 30 14"),
    ("photo 213 and one more with the jacket", "213"),
    ("Bild 213 und eins mit Brille", "213"),
    ("photos 213, two of the outdoor ones", "213"),
    ("image nine, 213 and five others", "9 213"),
    ("fotos 213 y dos más", "213"),
    ("Thanks a hundred times! I take 213.", "213"),
    ("hundert Dank für 213 und hundertdreizehn", "213 113"),
    ("two hundred thirteen of them were lovely, I take 217", "217"),
    # Refusals.
    ("217-220 except 218", "217..220 / 218"),
    ("217 bis 220 ohne 218 und 219", "217..220 / 218 219"),
    ("217 à 220 sauf la 218", "217..220 / 218"),
    ("217 a 220 menos la 218", "217..220 / 218"),
    ("217-220 but not 218, 225", "217..220 225 / 218"),
    ("217-220 without 218, 219", "217..220 / 218 219"),
    ("all except 218", "* / 218"),
    ("alle außer 218 und 219", "* / 218 219"),
    ("all but 218", "* / 218"),
    ("nothing except 213", "213"),
    ("please not 218 but 219", "219 / 218"),
    ("We don't want number 218. 219 is lovely.", "219 / 218"),
    ("213 yes\n214 no\n215 YES", "213 215 / 214"),
    ("213 ✓\n214 ✗", "213 / 214"),
    ("213 yes, 214 no, 215 yes", "213 215 / 214"),
    ("213, 217, no 218", "213 217 / 218"),
    ("not only 213 but also 217", "213 217"),
    ("213 (without glasses), 217", "213 217"),
    ("I love 213 with the red scarf, 217 to be brighter please", "213 217"),
    # Numbers that name no frame.
    ("As agreed on 12 March 2026 at 10:30, 213 and 217 for 2 photos", "213 217"),
    ("213 in 5x7 and 217 at 300 dpi, 1600x2000 px", "213 217"),
    ("213 please. Call me: 0171 2345678 or +49 30 1234567", "213"),
    ("213 (x2), my 5 favourites are 213, 217 for €150", "213 213 217"),
    ("The first 3: 213, 217, 220 by 15.04.2026", "213 217 220"),
]


def in_short(answer: Answer) -> str:
    parts = ["*"] if answer.everything else []
    parts += [_short(each) for each in answer.wanted]
    if answer.unwanted:
        parts += ["/", *(_short(each) for each in answer.unwanted)]
    return " ".join(parts)


def _short(asked: Asked) -> str:
    first = f"{asked.first.letters}{asked.first.number}"
    return first if asked.last is None else f"{first}..{asked.last.number}"


@pytest.mark.parametrize(("text", "means"), SPELLINGS)
def test_a_client_s_spelling_means(text: str, means: str) -> None:
    answer = answer_in(text)
    assert (in_short(answer), answer.doubts) == (means, ())


@pytest.mark.parametrize(
    "text",
    [
        "213 or 214",
        "213 oder 214, was besser ist",
        "213?",
        "maybe 215",
        "213, vielleicht 217",
        "213-2",
        "IMG_0217-DSC_0220",
        "213b",
        "213 is not good",
        "213 - 2345678",
        "213, not 218, 231",
    ],
)
def test_what_cannot_be_told_is_a_doubt(text: str) -> None:
    assert answer_in(text).doubts


MAIL = """\
Hi Petra,

thank you, they are wonderful! We'd like 213, 217 to 219 (not 218)
and NL1_0231.jpg. Could you remove the spot on my cheek in 213?

Best regards
Mona Vale
Harbour Street 12, 4021 Lindholm
Tel. +46 31 555 01 43

On Tue, 3 Mar 2026 at 10:12, Petra Holm <petra@example.org> wrote:
> Dear Mona, here are frames 200 to 260.
> Please choose 4 by 12 March.
"""

OUTLOOK = """\
Guten Tag, bitte die 0213 und die 0217.

Mit freundlichen Grüßen
M. Vale
Telefon 040 5550 143

________________________________
Von: Petra Holm
Gesendet: Dienstag, 3. März 2026 10:12
Betreff: Ihre Bilder 200-260

Bilder 200 bis 260 sind fertig.
"""

BELOW_THE_QUOTE = """\
Am 03.03.2026 um 10:12 schrieb Petra Holm:
> Welche von 200 bis 260?
213 und 217
--
Mona Vale, 0213 555 0143
"""


@pytest.mark.parametrize(
    ("mail", "means"),
    [(MAIL, "213 217..219 nl1231 213 / 218"), (OUTLOOK, "213 217"), (BELOW_THE_QUOTE, "213 217")],
)
def test_a_mail_pasted_whole_means_what_was_written_in_it(mail: str, means: str) -> None:
    answer = answer_in(mail)
    assert (in_short(answer), answer.doubts) == (means, ())


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("file,selected\nIMG_0213.jpg,yes\nIMG_0214.jpg,no\nIMG_0215.jpg,x\n", "img213 img215 / img214"),
        ("Dateiname;Auswahl;Bemerkung\nNL1_0213;ja;heller\nNL1_0214;;2 Abzüge\n", "nl1213 / nl1214"),
        ("number\n213\n0217\n", "213 217"),
        ("Photo\tComment\n213\tskin, 5x7\n217\t\n", "213 217"),
        ('"name","choice"\n"IMG_0213, print.jpg","1"\n', "img213"),
    ],
)
def test_a_table_names_a_photo_in_each_row(text: str, means: str) -> None:
    answer = answer_in_table(text)
    assert answer is not None
    assert (in_short(answer), answer.doubts) == (means, ())


@pytest.mark.parametrize(
    "text", ["213, 217", "Dear Petra,\n213, please\n", "IMG_0213.jpg,yes\nIMG_0214.jpg,no"]
)
def test_prose_is_no_table(text: str) -> None:
    assert answer_in_table(text) is None


def test_numbers_that_were_passed_over_are_told() -> None:
    assert answer_in("213 on 12 March, call 0171 2345678").passed_over == ("call 0171 2345678", "12 March")


def test_an_answer_without_a_frame_asks_for_nothing() -> None:
    assert answer_in("We love them all, thank you!") == Answer()
