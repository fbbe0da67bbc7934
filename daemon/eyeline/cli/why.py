"""`eyeline why`: the reasons for a photo's stars, from the ledger."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from eyeline.cli.words import add_configuration

if TYPE_CHECKING:
    from eyeline.ledger.records import Decision
    from eyeline.terms.verdict import Reason

NOTABLE_COST = 0.005
"""Loss of score from which a criterion is said to have cost something: two decimals are shown."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """One photo."""
    parser.add_argument("file", type=Path, metavar="FILE", help="a photo that eyeline has judged")
    parser.add_argument("--json", action="store_true", help="the decision as JSON")
    add_configuration(parser)


def run(arguments: argparse.Namespace) -> int:
    """Say why; 1 if nothing is known about the file."""
    from eyeline.cli.main import DONE
    from eyeline.cli.words import configuration_of, json_line
    from eyeline.errors import EyelineError
    from eyeline.ledger.ledger import Ledger

    path = Path(arguments.file).resolve()
    with Ledger.reader(configuration_of(arguments).ledger) as ledger:
        decision = ledger.decisions.latest(path)
        photo = ledger.photos.at(path)
        problems = ledger.problems.on(path)
    if decision is None or photo is None:
        if problems:
            raise EyelineError(problems[-1].what, path, problems[-1].cure)
        raise EyelineError("eyeline has not judged it yet", path, "Run: eyeline run on it or its folder")
    if arguments.json:
        print(json_line(photo, decision))
        return DONE
    for line in explanation(decision, photo.why_sitter):
        print(line)
    return DONE


def explanation(decision: Decision, why_sitter: str) -> list[str]:
    """The decision in words, heaviest loss first."""
    from eyeline.cli.words import OUTCOME_WORDS, stars
    from eyeline.errors import printable

    verdict = decision.verdict
    lines = [printable(decision.path)]
    if verdict.stars is None:
        lines.append("No stars: no face was found, so this is no portrait.")
    else:
        caps = [reason for reason in verdict.reasons if reason.stars_at_most is not None]
        lines.append(
            f"{stars(verdict.stars)}  as {_article(verdict.genre)} {verdict.genre}, score {verdict.score:.2f}"
            + (f". The sitter: {why_sitter}." if why_sitter != "the only face" else ".")
        )
        if caps:
            lines += ["", "What capped the stars:"]
            lines += [f"  at most {reason.stars_at_most}: {reason.sentence}" for reason in caps]
        lines += _criteria(verdict.reasons)
        if len(verdict.scores) > 1:
            others = ", ".join(f"{name} {score:.2f}" for name, score in verdict.scores)
            lines += ["", f"On every line of the brief: {others}."]
    if verdict.keywords:
        lines += ["", f"Keywords: {', '.join(verdict.keywords)}."]
    if verdict.crops or verdict.no_crops:
        lines += ["", "Crops:"]
        lines += [
            f"  {crop.format_name:>8}  {crop.score:.2f} ({crop.as_shot:.2f} as shot), "
            f"{crop.width} × {crop.height} px: {crop.sentence}"
            for crop in verdict.crops
        ]
        lines += [f"  {none.format_name:>8}  none: {none.reason}" for none in verdict.no_crops]
    where = f" ({printable(decision.sidecar)})" if decision.sidecar is not None else ""
    lines += ["", f"Sidecar{where}: {OUTCOME_WORDS[decision.outcome]}."]
    if decision.refused_because:
        lines.append(f"  {decision.refused_because}")
    lines.append(f"Decided {decision.decided_at:%Y-%m-%d %H:%M} UTC by rules {verdict.rules_digest[:8]}.")
    return lines


def _criteria(reasons: tuple[Reason, ...]) -> list[str]:
    costly = [r for r in reasons if r.stars_at_most is None and r.cost >= NOTABLE_COST]
    helped = [
        r for r in reasons if r.stars_at_most is None and r.cost < NOTABLE_COST and r.desirability is not None
    ]
    silent = [r for r in reasons if r.stars_at_most is None and r.desirability is None]
    lines: list[str] = []
    if costly:
        lines += ["", "What cost:"]
        lines += [f"  {reason.cost:4.2f}  {reason.sentence} (ideal: {reason.ideal})" for reason in costly]
    if helped:
        lines += ["", "What helped:"]
        lines += [f"        {reason.sentence} (ideal: {reason.ideal})" for reason in helped]
    if silent:
        lines += ["", "Not judged:"]
        lines += [f"        {reason.sentence}" for reason in silent]
    return lines


def _article(word: str) -> str:
    return "an" if word[:1] in "aeiou" else "a"
