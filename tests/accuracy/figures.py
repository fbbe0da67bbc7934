"""The figures of the accuracy table: each a function from pairs to one row, beside its goal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Person

FALSE_FLAGS = 0.01
"""Share of open eyes that may be called closed when the share of closed eyes caught is stated."""

UPRIGHT_HEAD_DEG = 30.0
"""Head within this of the lens in yaw and pitch: where the goals for angles hold."""

BLUR_RANGE_PX = (0.7, 6.0)
"""True sigma for which the goal for blur holds."""


@dataclass(frozen=True)
class Row:
    """One line of the table. `reached` is None for a figure without a goal."""

    name: str
    photos: int
    measured: float | None
    figure: str
    goal: str
    reached: bool | None

    def cells(self) -> tuple[str, ...]:
        share = "" if self.measured is None else f"{100 * self.measured:.1f} %"
        verdict = "" if self.reached is None else "yes" if self.reached else "no"
        return (self.name, str(self.photos), share, self.figure, self.goal, verdict)


Truth = Callable[[Pair, Person], float | None]


@dataclass(frozen=True)
class Errors:
    """Absolute errors of one measure where truth and value both exist; `counted` includes nulls."""

    name: str
    values: np.ndarray
    signed: np.ndarray
    pairs: tuple[Pair, ...]
    counted: int

    @property
    def measured(self) -> float | None:
        return len(self.values) / self.counted if self.counted else None


def errors(
    pairs: Sequence[Pair], name: str, truth: Truth, where: Callable[[Pair, Person], bool] = lambda *_: True
) -> Errors:
    """Error of the measure `name` against `truth`, over the pairs `where` that holds."""
    kept, differences, counted = [], [], 0
    for pair in pairs:
        if pair.person is None or not where(pair, pair.person):
            continue
        true = truth(pair, pair.person)
        if true is None:
            continue
        counted += 1
        value = pair.number(name)
        if value is not None:
            kept.append(pair)
            differences.append(value - true)
    signed = np.array(differences)
    return Errors(name, np.abs(signed), signed, tuple(kept), counted)


def median_row(found: Errors, unit: str, scale: float, median: float, p95: float | None) -> Row:
    """A row with median and 95th percentile beside their goals (in the scaled unit)."""
    if not len(found.values):
        return Row(found.name, found.counted, found.measured, "none measured", "", False)
    middle, high = (float(np.percentile(found.values, q)) * scale for q in (50, 95))
    goal = f"median {median:g}{unit}" + (f", 95th {p95:g}{unit}" if p95 is not None else "")
    return Row(
        found.name,
        found.counted,
        found.measured,
        f"median {middle:.2f}{unit}, 95th {high:.2f}{unit}",
        goal,
        middle <= median and (p95 is None or high <= p95),
    )


def head_is_upright(_: Pair, person: Person) -> bool:
    return max(abs(person.head_yaw_los), abs(person.head_pitch_los)) <= UPRIGHT_HEAD_DEG


def eyes_can_be_read(pair: Pair, person: Person) -> bool:
    return person.eyes == "open" and person.iris_is_seen and head_is_upright(pair, person)


def found_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Sitter found, by size of head and by yaw; in a group, somebody of it."""
    classes: list[tuple[str, float, Callable[[Person], bool]]] = [
        ("found, head ≥ 8 %, yaw to 30°", 0.99, lambda p: _head(p) >= 0.08 and abs(p.head_yaw_los) <= 30),
        (
            "found, head ≥ 8 %, yaw 30 to 60°",
            0.97,
            lambda p: _head(p) >= 0.08 and 30 < abs(p.head_yaw_los) <= 60,
        ),
        ("found, head 5 to 8 %", 0.98, lambda p: 0.05 <= _head(p) < 0.08),
    ]
    rows = []
    for name, goal, belongs in classes:
        of_class = [
            pair
            for pair in pairs
            if any(belongs(person) for person in pair.portrait.people)
            and all(person.eyes_visible for person in pair.portrait.people)
        ]
        if of_class:
            share = sum(pair.person is not None for pair in of_class) / len(of_class)
            rows.append(Row(name, len(of_class), None, f"{share:.1%}", f"{goal:.0%}", share >= goal))
    return rows


def _head(person: Person) -> float:
    return float(person.head_height_with_hair)


def pupil_row(pairs: Sequence[Pair]) -> Row:
    """Pupils of open eyes, both counted, in shares of the true eye distance."""
    counted = [pair for pair in pairs if pair.person is not None and pair.person.eyes_visible]
    found = [error for pair in counted if (error := pair.pupil_errors()) is not None]
    flat = np.array(found).ravel() * 100
    return Row(
        "pupils",
        len(counted),
        len(found) / len(counted),
        f"median {np.median(flat):.2f} %, 95th {np.percentile(flat, 95):.2f} % of the eye distance",
        "median 2 %",
        bool(np.median(flat) <= 2),
    )


def framing_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Where the sitter is in the frame, in per cent of it."""
    rows = [
        median_row(errors(pairs, name, lambda _, p, n=name: p.truth[n], _eyes_in_frame), " %", 100, 0.5, 1.5)
        for name in ("eye_line", "eye_x")
    ]
    for name in ("chin_room", "headroom"):
        found = errors(pairs, name, lambda _, p, n=name: max(0.0, p.truth[n]))
        rows.append(median_row(found, " %", 100, 1.0, 3.0))
    for name in ("head_height", "room_left", "room_right"):
        found = errors(pairs, name, lambda _, p, n=name: p.truth[n])
        if len(found.values):
            middle, high = np.percentile(found.values, (50, 95)) * 100
            rows.append(
                Row(
                    name, found.counted, found.measured, f"median {middle:.2f} %, 95th {high:.2f} %", "", None
                )
            )
    cut = [
        (bool(p.value("crown_cut")), p.person.crown_cut)
        for p in pairs
        if p.person and p.value("crown_cut") is not None
    ]
    right = sum(a == b for a, b in cut)
    caught = sum(a and b for a, b in cut)
    rows.append(
        Row(
            "crown_cut",
            len(cut),
            len(cut) / max(1, sum(p.person is not None for p in pairs)),
            f"{right / len(cut):.1%} right; {caught} of {sum(b for _, b in cut)} cut crowns caught",
            "",
            None,
        )
    )
    return rows


def _eyes_in_frame(pair: Pair, person: Person) -> bool:
    return bool(person.eyes_visible) or person.eyes != "open"


def head_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Mean absolute error of the head's angles, pitch after one common offset for all sitters."""
    rows = []
    for name, field, goal in (
        ("head_yaw_deg", "head_yaw_los", 2.0),
        ("head_pitch_deg", "head_pitch_los", 3.0),
        ("head_roll_deg", "head_roll", 1.2),
    ):
        found = errors(pairs, name, lambda _, p, f=field: p.truth[f], head_is_upright)
        offset = float(np.median(found.signed)) if name == "head_pitch_deg" and len(found.signed) else 0.0
        wrong = np.abs(found.signed - offset)
        note = f" after a common offset of {offset:+.1f}°" if offset else ""
        mean = float(wrong.mean()) if len(wrong) else float("nan")
        rows.append(
            Row(
                name,
                found.counted,
                found.measured,
                f"mean {mean:.2f}°, 95th {np.percentile(wrong, 95):.2f}°{note}",
                f"mean {goal}°",
                mean <= goal,
            )
        )
    return rows


def gaze_angle_errors(pairs: Sequence[Pair]) -> tuple[np.ndarray, int]:
    """Angle between measured and true look, degrees, and how many were counted."""
    angles, counted = [], 0
    for pair in pairs:
        if pair.person is None or not eyes_can_be_read(pair, pair.person):
            continue
        counted += 1
        yaw, pitch = pair.number("gaze_yaw_deg"), pair.number("gaze_pitch_deg")
        if yaw is not None and pitch is not None:
            found, true = _direction(yaw, pitch), _direction(pair.person.gaze_yaw, pair.person.gaze_pitch)
            angles.append(np.degrees(np.arccos(np.clip(found @ true, -1, 1))))
    return np.array(angles), counted


def _direction(yaw_deg: float, pitch_deg: float) -> np.ndarray:
    yaw, pitch = np.radians([yaw_deg, pitch_deg])
    return np.array([np.sin(yaw) * np.cos(pitch), np.sin(pitch), np.cos(yaw) * np.cos(pitch)])


def gaze_rows(pairs: Sequence[Pair]) -> list[Row]:
    """The look as an angle and as a word."""
    angles, counted = gaze_angle_errors(pairs)
    rows = [
        Row(
            "gaze angle",
            counted,
            len(angles) / counted,
            f"median {np.median(angles):.2f}°, 95th {np.percentile(angles, 95):.1f}°",
            "median 5°",
            bool(np.median(angles) <= 5),
        )
    ]
    words = gaze_words(pairs)
    decided = [(true, found) for true, found in words if found != "unsure"]
    right = sum(a == b for a, b in decided) / len(decided)
    always = sum(true == "camera" for true, _ in decided) / len(decided)
    unsure = 1 - len(decided) / len(words)
    swapped = sum({a, b} == {"left", "right"} for a, b in decided)
    rows.append(
        Row(
            "gaze word",
            len(words),
            1 - unsure,
            f"{right:.1%} right of those decided (always 'camera': {always:.1%}), unsure {unsure:.1%}, "
            f"left for right {swapped}",
            "93 %, 15 points over 'camera', unsure ≤ 15 %, never left for right",
            right >= 0.93 and right - always >= 0.15 and unsure <= 0.15 and swapped == 0,
        )
    )
    return rows


def gaze_words(pairs: Sequence[Pair]) -> list[tuple[str, str]]:
    """True and measured word for every open-eyed sitter off the borders; null counts as `unsure`."""
    return [
        (pair.person.gaze_word, str(pair.value("gaze") or "unsure"))
        for pair in pairs
        if pair.person is not None
        and eyes_can_be_read(pair, pair.person)
        and not pair.person.gaze_is_on_a_border
    ]


def lid_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Closed eyes caught at a fixed share of false flags, half-closed ones by the sitter's own opening."""
    judged = [(p, p.number("eyes_open")) for p in pairs if p.person is not None]
    known = [(p, value) for p, value in judged if value is not None]
    open_eyes = np.array([value for p, value in known if p.person.eyes == "open" and p.person.iris_is_seen])
    closed = np.array([value for p, value in known if p.person.eyes == "closed"])
    if not len(open_eyes) or not len(closed):
        return []
    limit = float(np.quantile(open_eyes, FALSE_FLAGS, method="lower"))
    caught = float(np.mean(closed < limit))
    at_half = f"; at 0.5: {np.mean(closed < 0.5):.1%} caught, {np.mean(open_eyes < 0.5):.1%} false"
    rows = [
        Row(
            "closed eyes",
            len(open_eyes) + len(closed),
            len(known) / len(judged),
            f"{caught:.1%} caught at {FALSE_FLAGS:.0%} false flags{at_half}",
            "95 %",
            caught >= 0.95,
        )
    ]
    area = half_closed_area(pairs)
    if area is not None:
        rows.append(
            Row(
                "half-closed eyes",
                len(known),
                None,
                f"AUC {area:.3f}, relative to the sitter's own opening",
                "AUC 0.95",
                area >= 0.95,
            )
        )
    return rows


def half_closed_area(pairs: Sequence[Pair]) -> float | None:
    """Area under the ROC of half-closed against open, opening relative to the sitter's median when open."""
    openings: dict[str, list[tuple[str, float]]] = {}
    for pair in pairs:
        left, right = pair.number("eye_opening_left"), pair.number("eye_opening_right")
        if pair.person is not None and left is not None and right is not None and pair.person.iris_is_seen:
            openings.setdefault(pair.person.sitter, []).append((pair.person.eyes, (left + right) / 2))
    open_eyes, half = [], []
    for of_sitter in openings.values():
        usual = [value for word, value in of_sitter if word == "open"]
        if not usual:
            continue
        middle = float(np.median(usual))
        open_eyes += [value / middle for word, value in of_sitter if word == "open"]
        half += [value / middle for word, value in of_sitter if word == "half"]
    if not open_eyes or not half:
        return None
    wins = np.array(open_eyes)[:, None] - np.array(half)[None, :]
    return float(np.mean((wins > 0) + 0.5 * (wins == 0)))


def blur_row(pairs: Sequence[Pair]) -> Row:
    """Blur at the eye where no motion is added: within 20 % or 0.4 px."""
    low, high = BLUR_RANGE_PX
    found = errors(
        pairs,
        "eye_blur_px",
        lambda _, p: p.true_eye_blur_sigma_px,
        lambda pair, p: (
            bool(p.eyes_visible)
            and low <= p.true_eye_blur_sigma_px <= high
            and pair.portrait.truth["motion_px"] == 0
        ),
    )
    true = np.array([pair.person.true_eye_blur_sigma_px for pair in found.pairs])
    within = float(np.mean(found.values <= np.maximum(0.2 * true, 0.4))) if len(true) else 0.0
    relative = np.median(found.values / true) if len(true) else float("nan")
    return Row(
        "eye_blur_px",
        found.counted,
        found.measured,
        f"{within:.1%} within 20 % or 0.4 px; median error {relative:.1%}",
        "within 20 % or 0.4 px",
        within >= 0.9,
    )


def light_row(pairs: Sequence[Pair]) -> Row:
    """Key over fill between the cheeks, stops."""
    found = errors(pairs, "light_ratio_stops", lambda _, p: p.light_ratio_stops_true)
    mean = float(found.values.mean()) if len(found.values) else float("nan")
    return Row(
        "light_ratio_stops",
        found.counted,
        found.measured,
        f"mean {mean:.2f} stop, 95th {np.percentile(found.values, 95):.2f}",
        "0.2 stop",
        mean <= 0.2,
    )


def copy_space_row(pairs: Sequence[Pair]) -> Row:
    """The word for the free side, against the sides that the frame was composed with."""
    words = [
        (_sides(pair.portrait.truth["empty_sides"]), pair.value("copy_space"))
        for pair in pairs
        if pair.portrait.truth["people_count"] == 1 and pair.person is not None
    ]
    known = [(true, found) for true, found in words if found is not None]
    right = sum(true == found for true, found in known) / len(known) if known else 0.0
    return Row(
        "copy_space word", len(words), len(known) / len(words), f"{right:.1%} right", "95 %", right >= 0.95
    )


def _sides(sides: list[str]) -> str:
    return "both" if len(sides) == 2 else sides[0] if sides else "none"


def camera_height_row(pairs: Sequence[Pair]) -> Row:
    """Seen from below, level, above: beyond 8° of camera pitch, where the file carries the angle or not."""
    words = [
        (
            "high" if p.person.camera_pitch_deg < -8 else "low" if p.person.camera_pitch_deg > 8 else "level",
            p.value("camera_height"),
        )
        for p in pairs
        if p.person is not None
    ]
    decided = [(a, b) for a, b in words if b not in (None, "unsure")]
    right = sum(a == b for a, b in decided) / len(decided) if decided else 0.0
    return Row(
        "camera_height word",
        len(words),
        len(decided) / len(words),
        f"{right:.1%} right of those decided",
        "",
        None,
    )


def people_row(pairs: Sequence[Pair]) -> Row:
    """Faces counted."""
    right = sum(pair.value("people") == pair.portrait.truth["people_count"] for pair in pairs)
    return Row("people", len(pairs), None, f"{right / len(pairs):.1%} right", "", None)


def all_rows(pairs: Sequence[Pair]) -> list[Row]:
    """The whole table for one set."""
    return [
        *found_rows(pairs),
        people_row(pairs),
        pupil_row(pairs),
        *framing_rows(pairs),
        *head_rows(pairs),
        *gaze_rows(pairs),
        *lid_rows(pairs),
        blur_row(pairs),
        light_row(pairs),
        copy_space_row(pairs),
        camera_height_row(pairs),
    ]
