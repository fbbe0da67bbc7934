"""What a client asks for, read from what they wrote."""

from __future__ import annotations

from dataclasses import dataclass, replace

from eyeline.selecting import words as known
from eyeline.selecting.mail import in_plain_signs, own_words, without_other_numbers
from eyeline.selecting.mention import Asked, Mention, wanted_and_not
from eyeline.selecting.name import FrameName, frame_name
from eyeline.selecting.number_words import in_digits
from eyeline.selecting.phrases import asks_for_the_rest, in_single_words, left_open
from eyeline.selecting.tokens import Token, span_inside, tokens_in, unnumbered

WIDEST_SPAN = 500
"""Frames of a span: no client chooses more in one breath, while a telephone number may look like it."""

_VERDICTS = [[word] for word in known.NO]
"""All that stands between a frame and the next comma where it is refused."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a client asks for. `everything`: all frames but `unwanted`.

    `doubts`: what cannot be told from the words, a sentence each; as long as there is one nobody knows what
    is wanted. `passed_over`: numbers that were taken for dates, telephone numbers, sums or counts.
    """

    wanted: tuple[Asked, ...] = ()
    unwanted: tuple[Asked, ...] = ()
    everything: bool = False
    doubts: tuple[str, ...] = ()
    passed_over: tuple[str, ...] = ()


def answer_in(text: str) -> Answer:
    """The answer in a mail, a note or a list. Never raises: what is no answer asks for nothing."""
    own = in_digits(own_words(in_plain_signs(text)))
    plain, passed_over = without_other_numbers(unnumbered(own))
    found = _Reading(tokens_in(in_single_words(plain))).answer()
    doubts = [*left_open(plain), *found.doubts]
    if found.unwanted and not found.everything:
        rest = asks_for_the_rest(plain, bool(found.wanted))
        if rest:
            doubts.append(f"“{rest}”: all that are not named? Then say: all except")
    return replace(found, doubts=tuple(dict.fromkeys(doubts)), passed_over=passed_over)


class _Reading:
    """One pass over the tokens."""

    def __init__(self, tokens: list[Token]) -> None:
        self._tokens = tokens
        self._mentions: list[Mention] = []
        self._doubts: list[str] = []
        self._everything = False
        self._words_before_the_last = 0  # how many words of the clause stand before its last frame
        self._has_yes = any(
            each.kind == "word" and each.text in known.YES - {"x", "y", "si"} for each in tokens
        )

    def answer(self) -> Answer:
        row, runs = 0, 0
        clause: list[Mention] = []  # since the last stop
        words: list[str] = []  # since the last stop, but for joining ones
        run: int | None = None  # the refusal that the mention before belongs to
        refusing = False  # a refusal waits for its number
        joined = True  # nothing but joining words since the mention before
        firmly = maybe = either = nothing = between = False
        while row < len(self._tokens):
            token = self._tokens[row]
            if token.kind in ("file", "stem", "number"):
                asked, row = self._span(row, between)
                between = False
                if asked is None:
                    continue
                mention = Mention(asked)
                if refusing:
                    runs += 1
                    run = runs
                    mention.run = run
                elif run is not None and joined:
                    mention.run, mention.firmly = run, firmly
                else:
                    run = None
                if either and run is None and clause:
                    self._doubts.append(f"“{clause[-1].asked.words} or {asked.words}”: which of them?")
                if maybe:
                    self._doubts.append(f"“{asked.words}” is only perhaps wanted")
                self._mentions.append(mention)
                clause.append(mention)
                self._words_before_the_last = len(words)
                refusing = maybe = either = firmly = nothing = False
                joined = True
                continue
            row += 1
            if token.kind == "comma" and clause and words[self._words_before_the_last :] in _VERDICTS:
                clause[-1].refused_by_verdict = True  # "218 no, 219 yes"
                refusing = False
            elif token.kind == "odd":
                self._doubts.append(f"“{token.text}” is neither a number nor the name of a photo")
            elif token.kind in ("stop", "doubt"):
                if token.kind == "doubt" and clause and joined and not words:
                    self._doubts.append(f"“{clause[-1].asked.words}?” is a question")
                self._end_of(clause, words, refusing)
                going_on = token.text == "\n" and row > 1 and self._tokens[row - 2].kind == "comma"
                if not going_on:
                    clause, words, run, refusing = [], [], None, False
                maybe = either = nothing = between = False
            elif token.kind == "word":
                said = token.text
                words.append(said)
                if said in known.AND:
                    firmly = True
                    if run is None:
                        continue
                elif said in known.OR:
                    either = firmly = True
                elif said in known.NOTHING:
                    nothing = True
                elif self._refuses(said, bool(clause)):
                    if not nothing:
                        refusing = True
                elif said in known.BUT:
                    # "all but 218" refuses, "not 218 but 219" does not
                    refusing = self._everything_before(row) and not nothing
                    run = None
                elif said in known.EVERYTHING and self._exception_follows(row):
                    self._everything = True
                elif said in known.ONLY:
                    run = None  # "none of 213-217, only 221"
                elif said in known.MAYBE:
                    maybe = True
                elif said in known.BETWEEN:
                    between = True
                elif said not in known.FILLERS:
                    joined = False
                    if refusing and said not in known.NOT:
                        refusing = self._tells_of_what_is_before(clause, words)
        self._end_of(clause, words, refusing)
        return self._settled()

    def _refuses(self, said: str, after_a_frame: bool) -> bool:
        if said in known.NOT:
            return True
        if said not in known.UNLESS_MEANT:
            return False
        return said != "no" or self._has_yes or after_a_frame  # "no 213" is number 213

    def _tells_of_what_is_before(self, clause: list[Mention], words: list[str]) -> bool:
        """A refusal that no number follows: of a frame before it, or of something else altogether."""
        if clause and any(word in known.STRONG_NOT for word in words):
            self._doubts.append(f"“{clause[-1].asked.words}” stands beside a “not”: is it wanted?")
        return False

    def _end_of(self, clause: list[Mention], words: list[str], refusing: bool) -> None:
        """The end of a line or sentence: "214 no" refuses all that the line names."""
        behind = words[self._words_before_the_last :]
        meant = [word for word in words if word not in known.FILLERS | known.AND or word in known.NO]
        if clause and behind and meant and all(word in known.NO for word in meant):
            for mention in clause:
                mention.refused_by_verdict = True
        elif refusing:
            self._tells_of_what_is_before(clause, words)

    def _everything_before(self, row: int) -> bool:
        """Whether the word before the one just read is "all": then "but" makes an exception."""
        return row > 1 and self._tokens[row - 2].text in known.EVERYTHING | known.NOTHING

    def _exception_follows(self, row: int) -> bool:
        following = [each.text for each in self._tokens[row : row + 4] if each.kind == "word"]
        return any(word in known.NOT | known.BUT for word in following)

    def _span(self, row: int, between: bool) -> tuple[Asked | None, int]:
        """The frame at `row`, or the span that begins there; and the row after it."""
        first = self._tokens[row]
        inside = span_inside(first.text)
        if inside is not None:
            return self._checked(*inside, first.text), row + 1
        name = frame_name(first.text)
        mark = self._tokens[row + 1] if row + 1 < len(self._tokens) else None
        spans = mark is not None and (
            mark.kind == "span"
            or (mark.kind == "word" and (mark.text in known.TO or (between and mark.text in known.AND)))
            or (mark.kind == "word" and mark.text == known.A_BETWEEN)
        )
        last = row + 2
        while spans and last < len(self._tokens) and self._tokens[last].kind in ("word", "sign"):
            if self._tokens[last].text not in known.FILLERS:
                break
            last += 1
        if not spans or mark is None or last >= len(self._tokens):
            return Asked(name, None, first.text), row + 1
        end = self._tokens[last]
        if end.kind not in ("file", "stem", "number"):
            return Asked(name, None, first.text), row + 1
        said = f"{first.text}{'-' if mark.kind == 'span' else f' {mark.text} '}{end.text}"
        return self._checked(name, frame_name(end.text), said), last + 1

    def _checked(self, first: FrameName, last: FrameName, said: str) -> Asked | None:
        """The span from `first` to `last`, in order; the second number may leave out what both begin with."""
        if last.letters and first.letters != last.letters:
            self._doubts.append(f"“{said}” spans two kinds of names")
            return None
        low, high = int(first.digits), int(last.digits)
        if high < low and len(last.digits) < len(first.digits):
            high = int(first.digits[: -len(last.digits)] + last.digits)
            if high <= low:
                self._doubts.append(f"“{said}” does not say where it ends")
                return None
        low, high = min(low, high), max(low, high)
        if high - low >= WIDEST_SPAN:
            self._doubts.append(f"“{said}” would be {high - low + 1} frames")
            return None
        ends = FrameName(first.letters, str(low)), FrameName(first.letters, str(high))
        return Asked(ends[0], ends[1] if high > low else None, said)

    def _settled(self) -> Answer:
        wanted, unwanted = wanted_and_not(self._mentions, self._everything, self._doubts)
        return Answer(
            tuple(each.asked for each in wanted),
            tuple(each.asked for each in unwanted),
            self._everything,
            tuple(dict.fromkeys(self._doubts)),
        )
