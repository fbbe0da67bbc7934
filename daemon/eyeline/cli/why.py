"""`eyeline why`: the reasons for a photo's stars, as a colleague would give them."""

from __future__ import annotations

import argparse
import json
from collections.abc import Collection, Sequence
from datetime import UTC, datetime
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, json_line, outcome_words, stars
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.deciding.verdict_now import verdict_now
from eyeline.errors import BadConfiguration, EyelineError, printable
from eyeline.judging.cures import cures
from eyeline.judging.rulebook import Rulebook
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome, Photo
from eyeline.run.ratings import their_decisions
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import rules_in_force
from eyeline.terms.verdict import Crop, Reason, Verdict

NOTABLE_COST = 0.005
"""Loss of score from which a criterion is said to have cost something: two decimals are shown."""

MOST_HELPED = 5
"""What helped is named up to here, heaviest weight first; --numbers lists all."""

OPINION = {1: "not one to deliver", 2: "weak", 3: "sound", 4: "strong", 5: "one of the best"}

NOT_YET = "not written yet. The daemon writes when a sitting has been quiet; at once:"

PREVIEW_NOTE = "Measured in the preview inside the RAW: what is white or black there may still be in the RAW."


def run(arguments: argparse.Namespace) -> int:
    """Say why; 1 if nothing is known about the file."""
    path = Path(arguments.file).resolve()
    configuration = configuration_of(arguments)
    with Ledger.up_to_date(configuration.ledger, datetime.now(UTC)) as ledger:
        decision = ledger.decisions.latest(path)
        if decision is not None and decision.path != path:
            decision = (
                None  # of a copy, or of this one under another name: what was written there is not here
            )
        photo = ledger.photos.at(path)
        problems = ledger.problems.on(path)
        records = SidecarRecords(ledger, configuration.naming)
        theirs = their_decisions(records, photo) if photo is not None else ()
        foreseen = _foreseen(photo, ledger, configuration) if decision is None and photo is not None else None
    if foreseen is not None:
        photo, decision = foreseen
    if decision is None or photo is None:
        if problems:
            raise EyelineError(problems[-1].what, path, problems[-1].cure)
        raise _nothing_known(path)
    rulebook = _rulebook(decision.verdict, configuration)
    better = cures(decision.verdict.reasons, rulebook) if rulebook is not None else []
    if arguments.json:
        known = json.loads(json_line(photo, decision))
        print(json.dumps(known | {"better": better, "yours": list(theirs)}, ensure_ascii=True))
        return DONE
    for line in explanation(decision, photo, better, theirs, arguments.numbers):
        say(line, len(line) - len(line.lstrip()) + 2)
    if rulebook is not None and rulebook.caution:
        say(f"Caution: {rulebook.caution}")
    return DONE


def _nothing_known(path: Path) -> EyelineError:
    if path.is_dir():
        return EyelineError("this is a folder", path, "Name one photo in it: eyeline why FOLDER/PHOTO")
    if not path.exists():
        return EyelineError("there is no such file", path, "Look at its name and its folder")
    return EyelineError(
        "eyeline has not judged it yet", path, f"Run: eyeline run {quote(printable(path))} --dry-run"
    )


def _foreseen(photo: Photo, ledger: Ledger, configuration: Configuration) -> tuple[Photo, Decision] | None:
    """What would be decided by now: the daemon writes once a sitting is quiet, people ask sooner."""
    return verdict_now(photo, ledger, configuration, rules_in_force(configuration)[0])


def _rulebook(verdict: Verdict, configuration: Configuration) -> Rulebook | None:
    """The genre that the verdict is on; None for no portrait, and where the genre is no more."""
    if verdict.stars is None:
        return None
    rules, _ = rules_in_force(configuration)
    try:
        return rules.rules.genre(verdict.genre)
    except BadConfiguration:
        return None


def explanation(
    decision: Decision, photo: Photo, better: Sequence[str], theirs: Sequence[str], numbers: bool
) -> list[str]:
    """The decision in words: verdict, what helped, what cost, what would be better, what is theirs.

    Of a measure that a fault speaks of nothing good is said: it would sound like the contrary.
    """
    verdict = decision.verdict
    lines = [printable(decision.path), _sentence(verdict, photo.why_sitter, numbers)]
    if verdict.stars is not None:
        at_fault = {each.measure for each in verdict.reasons if each.stars_at_most is not None}
        lines += _helped([each for each in verdict.reasons if each.measure not in at_fault], numbers)
        lines += _cost(verdict.reasons, numbers, at_fault)
        lines += _listed("What would have made it better:", better)
        lines += _listed("Not judged:", [r.sentence for r in _criteria(verdict) if r.desirability is None])
    lines += _listed("Yours, and left to you:", theirs)
    if any(each.name == "clipping_source" and each.value == "preview" for each in photo.measurements):
        lines += ["", PREVIEW_NOTE]
    if verdict.keywords:
        lines += ["", f"Keywords: {', '.join(verdict.keywords)}."]
    if verdict.remarks:
        lines += ["", f"Also seen, and written nowhere: {', '.join(verdict.remarks)}."]
    lines += _crops(verdict, numbers)
    where = f" ({printable(decision.sidecar)})" if decision.sidecar is not None else ""
    if decision.outcome is Outcome.DRY_RUN:
        folder = quote(printable(decision.path.parent))
        lines += ["", f"Sidecar{where}: {NOT_YET}", f"  eyeline run {folder}"]
    else:
        lines += ["", f"Sidecar{where}: {outcome_words(decision.outcome)}."]
    if decision.refused_because:
        lines.append(f"  {decision.refused_because}")
    if numbers:
        lines += _numbers(verdict, photo)
    lines.append(f"Decided {decision.decided_at:%Y-%m-%d %H:%M} UTC by rules {verdict.rules_digest[:8]}.")
    return lines


def _sentence(verdict: Verdict, why_sitter: str, numbers: bool) -> str:
    if verdict.stars is None:
        why = verdict.reasons[0].sentence if verdict.reasons else "it is no portrait"
        return f"No stars: {why}."
    said = f"{stars(verdict.stars)}  As {verdict.genre} it is {OPINION[verdict.stars]}"
    if numbers:
        said += f" (score {verdict.score:.2f})"
    heaviest = next(
        (r for r in verdict.reasons if r.stars_at_most is not None or r.cost >= NOTABLE_COST), None
    )
    if heaviest is not None:
        held = "what holds it back" if verdict.stars < 4 else "what it lacks most"
        said += f"; {held}: {heaviest.sentence}"
    return f"{said}." + (f" The sitter: {why_sitter}." if why_sitter != "the only face" else "")


def _criteria(verdict: Verdict) -> list[Reason]:
    return [reason for reason in verdict.reasons if reason.stars_at_most is None]


def _helped(reasons: Sequence[Reason], numbers: bool) -> list[str]:
    """What is as the genre wants it; what is not, and cost next to nothing, is not worth a word."""
    good = [reason for reason in reasons if reason.desirability == 1.0]
    good.sort(key=lambda reason: -reason.weight)
    return _listed("What helped:", [each.sentence for each in (good if numbers else good[:MOST_HELPED])])


def _cost(reasons: Sequence[Reason], numbers: bool, at_fault: Collection[str]) -> list[str]:
    lines = []
    for reason in reasons:
        told = reason.measure in at_fault and isinstance(reason.value, str)
        if reason.stars_at_most is None and told and not numbers:
            continue  # the fault has said it, and better
        if reason.stars_at_most is not None:
            most = "1 star" if reason.stars_at_most == 1 else f"{reason.stars_at_most} stars"
            lines.append(f"{reason.sentence} (at most {most})")
        elif reason.cost >= NOTABLE_COST:
            lines.append(f"{reason.cost:4.2f}  {reason.sentence}" if numbers else reason.sentence)
    return _listed("What cost, heaviest first:", lines)


def _crops(verdict: Verdict, numbers: bool) -> list[str]:
    lines = [
        f"{crop.sentence}, {crop.width} × {crop.height} px" if numbers else _crop(crop)
        for crop in verdict.crops
    ]
    refused: dict[str, list[str]] = {}
    for none in verdict.no_crops:
        refused.setdefault(none.reason, []).append(none.format_name)
    lines += [f"none in {', '.join(formats)}: {reason}" for reason, formats in refused.items()]
    return _listed("Crops:", lines)


def _crop(crop: Crop) -> str:
    gain = crop.score - crop.as_shot
    told = "as good as the frame"
    if abs(gain) >= NOTABLE_COST:
        told = "better than the frame as shot" if gain > 0 else "not quite as good as the frame"
    return f"{crop.format_name}, {crop.width} × {crop.height} px: {told}"


def _numbers(verdict: Verdict, photo: Photo) -> list[str]:
    judged = [
        f"{reason.measure:22} {_shown(reason.value):>10}  ideal {reason.ideal}, weight {reason.weight:g}"
        for reason in _criteria(verdict)
    ]
    lines = _listed("Numbers that were judged:", judged)
    if len(verdict.scores) > 1:
        lines += _listed(
            "Every line of the brief:", [f"{score:.2f}  {name}" for name, score in verdict.scores]
        )
    named = {reason.measure for reason in verdict.reasons}
    rest = [
        f"{each.name:22} {_shown(each.value) if each.value is not None else f'– ({each.missing})':>10}"
        for each in photo.measurements
        if each.name not in named
    ]
    return [*lines, *_listed("Other measures:", rest), ""]


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.4g}" if isinstance(value, float) else "–" if value is None else str(value)


def _listed(heading: str, lines: Sequence[str]) -> list[str]:
    return ["", heading, *(f"  {line}" for line in lines)] if lines else []
