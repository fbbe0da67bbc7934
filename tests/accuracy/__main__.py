"""Print the accuracy table: `python -m tests.accuracy [--full] [--hard] [--write FILE] [--readme FILE]`.

Without --full only the bundled shoot is measured. With it also the rendered sets and the photographs beside
the checkout, where they are at hand; what is absent is named. `--hard` adds the hard cases, made from the
shoot and, with --full, found in the rendered sets. `--write` puts the same text into a Markdown file
(docs/accuracy.md is the one that the README links to), `--readme` the lines that matter into the README,
`--before` the figures of an earlier such file beside the new ones.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from eyeline.workers.examine import Examined
from tests.accuracy import groups
from tests.accuracy.earlier import FIGURE, Earlier, figures_of, with_before
from tests.accuracy.figures import hard
from tests.accuracy.figures.copy_space import CONFUSION_HEADINGS, copy_space_confusion
from tests.accuracy.figures.covers import false_cover_row
from tests.accuracy.figures.further import WITHOUT_TRUTH, exposure_row, further_rows
from tests.accuracy.figures.people import found_rows
from tests.accuracy.figures.row import Row
from tests.accuracy.figures.stars import KIND_HEADINGS, NAMED_HEADINGS, star_kinds, star_rows, wrong_stars
from tests.accuracy.figures.table import all_rows
from tests.accuracy.figures.words import confusions
from tests.accuracy.hard_cases import FRAMES_A_SITTER, base_frames, made_cases, small_heads
from tests.accuracy.judged import judge_set
from tests.accuracy.pipeline import Pair, pairs_of, run
from tests.accuracy.portraits import shared_photographs, shared_set, shoot
from tests.accuracy.real.rows import HEADINGS, real_rows
from tests.accuracy.summary import in_place, real, rendered

CROWD_STRIDE = 3
"""Every so many frames of the set `crowd` are looked through for hard cases: some 250."""
SMALL_STRIDE = 8
"""Every so many whole heads of the set `crowd` are made small: some 60, each in three sizes."""


PREFACE = """# Accuracy

Written by `python -m tests.accuracy --full --hard --write docs/accuracy.md`; every figure comes out of the
real pipeline. *Measured* is the share of photos with a value: a null counts as not measured and stands
beside the error of the rest. The ten other sitters (the set `truth`) are checked against and never fitted
on, but rules and estimators were chosen by people who had seen their figures: it is no blind test.

- **Real photographs**: portraits with the labels of two raters (only what both say alike is truth) and studio
  pictures of sitters who look into the lens. *Looked at while choosing*: an estimator was fitted on them or a
  threshold chosen while they were in view; the others nobody looked at and nothing was chosen by, but their
  figures have been taken at the end of every round of work, so that they are no longer blind. Shares with
  their 95 % interval; *before*, where it stands, is an earlier report's figure.
- **Reached**: light and clipping by their mean error; blur where 90 % of the frames are within the bounds; a
  sitter of `truth` has some ten open frames, so that one called closed is more than the goal's 5 %.
- **Stars**: the verdict that a frame is expected to get is said by the labels alone, line by line, in
  `tests/accuracy/expected_verdicts.py`; on a *matter of taste* two people would disagree, so it is no error.
- **Free side**: *beside* the sitter is where no part of them stands above or below. By the label such a side
  is free where it takes over 30 % of the width and was kept free of clutter; by the contract where a calm
  rectangle of 12 % of the frame fits into it, with 5 % of the frame for margins and 20 % of the width for a
  line of text. The second row evaluates the contract on the true mask by brute force
  (`tests/accuracy/copy_space_reference.py`), with clutter as the background was painted. Looked at one by
  one, what differs on `truth`: bare walls beside or below a painted window (t_0070, t_0090, t_0143) and a gap
  between shelves (t_0001) count as cluttered, but are calm; a brick wall (t_0045, t_0092) and a grey on which
  neither black nor white text reaches 4.5:1 (t_0119) are empty by the label, but nothing to set text on.
- **Skin tones, blur**: three frames a tone count (open eyes, true sigma from 0.7 px), none of them defocused;
  there the truth itself is good to 20 %, and errors are half of that, so that a ratio of two of them says
  little. With the lids down, where it is not counted, what is told falls by up to 40 % from light to dark.
- **Hard cases**: *right* is within a tenth of the eye distance, 3 % of the frame, the true word; *nothing*
  is an honest null or `unsure`. No head is rendered farther turned than 43°, so profiles are not among them.
  Only one rendered sitter wears a hat; few of that sitter's frames have open eyes with an iris to be seen.
  What is drawn is drawn into frames of the bundled shoot and into scikit-image's public-domain portrait."""


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy", description=__doc__)
    parser.add_argument("--full", action="store_true", help="the further sets too")
    parser.add_argument("--hard", action="store_true", help="the hard cases too")
    parser.add_argument("--write", type=Path, metavar="FILE", help="also write the text to this file")
    parser.add_argument(
        "--readme", type=Path, metavar="FILE", help="also put the lines that matter between its marks"
    )
    parser.add_argument(
        "--before", type=Path, metavar="FILE", help="an earlier report to set beside this one"
    )
    arguments = parser.parse_args()
    earlier = figures_of(arguments.before.read_text()) if arguments.before else {}
    sets = {"bundled shoot": pairs_of(shoot())}
    if arguments.full and (truth := shared_set("truth")):
        sets["ten other sitters"] = pairs_of(truth)
    rows = {title: [*all_rows(pairs), *star_rows(judge_set(pairs))] for title, pairs in sets.items()}
    photographs = real_rows() if arguments.full else []
    text = "\n".join([PREFACE, *_sections(sets, rows, photographs, earlier, arguments.full, arguments.hard)])
    print(text)
    if arguments.write:
        arguments.write.write_text(text + "\n")
    if arguments.readme:
        tables = [_table(*_split(lines)) for lines in (real(photographs), rendered(rows))]
        arguments.readme.write_text(in_place(arguments.readme.read_text(), *tables))


def _split(lines: list[tuple[str, ...]]) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    return lines[0], lines[1:]


def _sections(
    sets: dict[str, list[Pair]],
    rows: dict[str, list[Row]],
    photographs: list[Row],
    earlier: Earlier,
    full: bool,
    with_hard_cases: bool,
) -> list[str]:
    lines: list[str] = []
    if photographs:
        lines += _rows("Real photographs", photographs, earlier)
    for title, pairs in sets.items():
        lines += _rows(title.capitalize(), rows[title], earlier)
        lines += _further(pairs)
        lines += _detail(pairs)
    measured = [pair for pairs in sets.values() for pair in pairs]
    if full:
        if len(sets) == 1:
            lines += ["", "The set `truth` is not at hand; left out."]
        lines += _rows("Skin tones and photographs", _other_rows(), earlier)
    if with_hard_cases:
        measured += pairs_of(shared_set("crowd")[::CROWD_STRIDE]) if full else []
        lines += ["", "## Hard cases", "", *_hard_cases(measured)]
        lines += ["", "Small heads (made by putting much about a frame) and far turned ones:", ""]
        lines += _table(HEADINGS, [row.cells() for row in _small_and_turned(full)])
    return lines


def _rows(title: str, rows: Sequence[Row], earlier: Earlier) -> list[str]:
    """A section of `rows`, with the figures of an earlier report if there is one."""
    lines = ["", f"## {title}", ""]
    if not earlier:
        return lines + _table(HEADINGS, [row.cells() for row in rows])
    headings = (*HEADINGS[: FIGURE + 1], "before", *HEADINGS[FIGURE + 1 :])
    return lines + _table(headings, with_before(rows, earlier, title))


def _hard_cases(measured: Sequence[Pair]) -> list[str]:
    cases = hard.natural_cases(measured)
    with TemporaryDirectory() as folder:
        made = made_cases(shoot(), Path(folder))
        pairs = iter(pairs_of([portrait for portraits in made.values() for portrait in portraits]))
        cases |= {name: [next(pairs) for _ in portraits] for name, portraits in made.items()}
    lines = _table(hard.HEADINGS, [hard.hard_row(name, each) for name, each in cases.items() if each])
    wrong = [line for name, each in cases.items() for line in hard.failures(name, each)]
    return [*lines, "", "Wrong in:", "", *_table(("case", "photo", "what"), wrong)] if wrong else lines


def _small_and_turned(full: bool) -> list[Row]:
    crowd = [
        each
        for each in (shared_set("crowd") if full else [])
        if each.people[0].eyes_visible and each.people[0].head_height is not None
    ]
    with TemporaryDirectory() as folder:
        bases = [*base_frames(shoot(), FRAMES_A_SITTER), *crowd[::SMALL_STRIDE]]
        small = pairs_of(small_heads(bases, Path(folder)))
    turned = [each for each in crowd if abs(each.people[0].head_yaw_los) > 30]
    return [*found_rows(small), *found_rows(pairs_of(turned))]


def _other_rows() -> list[Row]:
    rows: list[Row] = []
    tones = shared_set("tones")
    if tones:
        rows += groups.tone_rows(pairs_of(tones))
    else:
        print("the set `tones` is not at hand; left out", file=sys.stderr)
    photographs = shared_photographs()
    if photographs:
        results = run([path for path, _ in photographs])
        examined = [each.measurements for each in results if isinstance(each, Examined)]
        rows.append(false_cover_row("photographs: face covered, though it is not", examined))
        rows += groups.photograph_rows(
            [
                (result, row)
                for result, (_, row) in zip(results, photographs, strict=True)
                if isinstance(result, Examined)
            ]
        )
    else:
        print("the photographs are not at hand; left out", file=sys.stderr)
    return rows


def _detail(pairs: Sequence[Pair]) -> list[str]:
    lines = _stars(pairs)
    lines += ["", "Words for the free side, true by found:", ""]
    lines += _table(CONFUSION_HEADINGS, copy_space_confusion(pairs))
    lines += ["", "By sitter:", "", *_table(groups.BREAKDOWN_HEADINGS, groups.breakdown(pairs, "sitter"))]
    lines += ["", "By skin tone (1 light to 10 dark):", ""]
    lines += _table(groups.BREAKDOWN_HEADINGS, groups.breakdown(pairs, "tone_index"))
    lines += ["", "Stated probability against what came true:", ""]
    lines += _table(("measure", "photos", "stated", "came true"), groups.reliability(pairs))
    lines += ["", "Milliseconds a frame, median and 95th percentile, by step and measure:", ""]
    return lines + _table(("step", "median", "95th"), _milliseconds(pairs))


def _further(pairs: Sequence[Pair]) -> list[str]:
    """The measures that no goal was set for, and words by words."""
    lines = ["", f"Measures without a goal. Without any truth: {WITHOUT_TRUTH}", ""]
    rows = [*further_rows(pairs), exposure_row(judge_set(pairs))]
    lines += _table(HEADINGS[:4], [row.cells()[:4] for row in rows])
    for title, headings, counts in confusions(pairs):
        lines += ["", f"True by found: {title}:", "", *_table(headings, counts)]
    return lines


def _stars(pairs: Sequence[Pair]) -> list[str]:
    """The shipped brief's stars against those that the labels expect."""
    judged = judge_set(pairs)
    lines = ["", "Stars given by the shipped brief, as `eyeline run` judges a folder:", ""]
    lines += _table(KIND_HEADINGS, star_kinds(judged))
    wrong = wrong_stars(judged)
    return [*lines, "", *_table(NAMED_HEADINGS, wrong)] if wrong else lines


def _milliseconds(pairs: Sequence[Pair]) -> list[tuple[str, str, str]]:
    spent: dict[str, list[float]] = defaultdict(list)
    for pair in pairs:
        for step, milliseconds in pair.examined.milliseconds.items():
            spent[step].append(milliseconds)
    return [
        (step, f"{np.median(values):.1f}", f"{np.percentile(values, 95):.1f}")
        for step, values in spent.items()
    ]


def _table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    lines = ["| " + " | ".join(headings) + " |", "|" + " --- |" * len(headings)]
    return lines + ["| " + " | ".join(row) + " |" for row in rows]


if __name__ == "__main__":
    main()
