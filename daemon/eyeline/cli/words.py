"""Words that several verbs share: the options for paths and configuration, numbers and verdicts in print."""

from __future__ import annotations

import argparse
import json
from typing import Any

from eyeline.cli.lines import complain
from eyeline.errors import message
from eyeline.ledger.records import Decision, Outcome, Photo, Problem
from eyeline.settings.configuration import Configuration, load_configuration

STAR = "★"


def configuration_of(arguments: argparse.Namespace) -> Configuration:
    """The configuration that --config names, or the usual one."""
    return load_configuration(arguments.config)


def stars(number: int | None) -> str:
    """Stars for people: ★★★, or a dash for a frame that is no portrait."""
    return "–" if number is None else STAR * number


def counted(number: int, one: str, many: str = "") -> str:
    """`number` with its noun: "1 photo", "2 photos"; `many` where an s is not enough."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def say_problem(problem: Problem) -> None:
    """A problem on stderr."""
    complain(message(problem.what, problem.path, problem.cure))


def json_line(photo: Photo, decision: Decision | None) -> str:
    """One photo as one line of JSON: file, every measure, and the verdict where there is one."""
    record: dict[str, Any] = {
        "file": str(photo.frame.path),
        "digest": photo.frame.digest,
        "width": photo.frame.width,
        "height": photo.frame.height,
        "orientation": photo.frame.orientation,
        "taken_at": photo.frame.capture.taken_at,
        "sitter": photo.why_sitter,
        "measures": {each.name: each.value for each in photo.measurements},
        "missing": {each.name: each.missing for each in photo.measurements if each.missing is not None},
    }
    if decision is not None:
        record |= _verdict(decision)
    return json.dumps(record, ensure_ascii=True, allow_nan=False)


def _verdict(decision: Decision) -> dict[str, Any]:
    verdict = decision.verdict
    return {
        "genre": verdict.genre or None,
        "score": verdict.score,
        "scores": dict(verdict.scores),
        "stars": verdict.stars,
        "keywords": list(verdict.keywords),
        "crops": [
            {
                "format": crop.format_name,
                "left": crop.area.left,
                "top": crop.area.top,
                "width": crop.area.width,
                "height": crop.area.height,
                "pixels": [crop.width, crop.height],
                "score": crop.score,
                "as_shot": crop.as_shot,
                "why": crop.sentence,
            }
            for crop in verdict.crops
        ],
        "no_crops": {none.format_name: none.reason for none in verdict.no_crops},
        "reasons": [
            {
                "name": reason.name,
                "measure": reason.measure,
                "value": reason.value,
                "ideal": reason.ideal,
                "desirability": reason.desirability,
                "weight": reason.weight,
                "cost": reason.cost,
                "stars_at_most": reason.stars_at_most,
                "says": reason.sentence,
            }
            for reason in verdict.reasons
        ],
        "rules": verdict.rules_digest,
        "outcome": str(decision.outcome),
        "sidecar": str(decision.sidecar) if decision.sidecar is not None else None,
        "refused_because": decision.refused_because,
    }


def outcome_words(outcome: Outcome) -> str:
    """What became of a sidecar, for people."""
    return {
        Outcome.WRITTEN: "written",
        Outcome.UNCHANGED: "unchanged",
        Outcome.KEPT: "kept as the photographer has it",
        Outcome.DRY_RUN: "not written (dry run)",
        Outcome.REFUSED: "left untouched",
        Outcome.TAKEN_BACK: "taken back",
        Outcome.CORRECTED: "corrected by you",
    }[outcome]
