from __future__ import annotations

from dataclasses import replace

import numpy as np

from eyeline.terms.frame import Picture


def picture() -> Picture:
    rgb = np.zeros((4, 6, 3), np.uint8)
    return Picture(rgb, rgb)


def test_what_several_ask_of_a_picture_is_made_once() -> None:
    one, made = picture(), []
    for _ in range(2):
        assert one.once("answer", lambda: made.append(1) or 42) == 42
    assert made == [1]


def test_another_picture_and_another_question_get_answers_of_their_own() -> None:
    one = picture()
    assert one.once("answer", lambda: 1) == 1
    assert one.once(("answer", 2), lambda: 2) == 2
    assert replace(one, is_preview=True).once("answer", lambda: 3) == 3
