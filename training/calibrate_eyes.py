"""Print the constants of gaze.py, eyes.py, pupils.py, sitting/usual_eyes.py and sitting/usual_gaze.py.

    python training/calibrate_eyes.py LOOKS FOLD_PREDICTIONS...

LOOKS and FOLD_PREDICTIONS are what train_eyes.py keeps with --looks and writes with --fold: every figure here
is of sitters that the networks had not seen. The rendered sitters' own level of the head lies some 10
degrees off that of people (train_eyes.py), so that each look is counted twice: as it is, and as if the head
had been nodded by that much. Needs scikit-learn.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression
from sklearn.metrics import roc_auc_score
from train_eyes import NOD_DEG
from unseen_looks import Unseen, by_tone, errors_over_stated, logistic, reliability

from eyeline.measuring.eyes import CLOSED_FROM
from eyeline.measuring.gaze import CAMERA_PITCH_DEG, CAMERA_YAW_DEG, word_of, word_probabilities
from eyeline.sitting.usual_eyes import ALONE, CONSTANT, MOST_EVIDENCE, MOST_TURN_DEG, RELATIVE
from eyeline.sitting.usual_gaze import DOUBT_FRAMES, MOST_DEG

SHARES = np.arange(0, 1.01, 0.1)
RIGHT_OF_DECIDED = 0.93
MOST_UNSURE = 0.15
"""Goals of the word: share that is right of those decided, in good and bad pictures; share that is not
decided of plain ones."""


def by_size(unseen: Unseen) -> None:
    """Print what goes wrong by the pixels between the pupils, of seen open eyes and of closed ones."""
    stated = logistic("open, of all sizes", unseen.both[:, 2], unseen.open, unseen.sitter)
    seen = unseen.open & unseen.seen
    off = np.linalg.norm(unseen.irises - unseen.pupils, axis=2).mean(axis=1)
    off /= np.linalg.norm(unseen.pupils[:, 0] - unseen.pupils[:, 1], axis=1)
    angle = np.hypot(*(unseen.network[0] - unseen.truth).T)
    for low, high in pairwise((0, 12, 14, 16, 18, 20, 23, 26, 32, 50, 200)):
        part = (unseen.between >= low) & (unseen.between < high)
        told, shut = part & seen, part & unseen.closed
        print(
            f"  {low} to {high} px: {told.sum()} open, called closed {np.mean(stated[told] < 0.5):.3f};"
            f" {shut.sum()} closed, called open {np.mean(stated[shut] >= 0.5):.3f};"
            f" gaze {np.median(angle[told]):.1f} degrees, pupils {np.median(off[told]):.4f}"
        )


def by_sitter(unseen: Unseen, stated: NDArray) -> None:
    """Print whose open eyes are called closed most often, and how many closed ones are caught if one in a
    hundred open ones may be called closed.
    """
    seen = unseen.open & unseen.seen
    for label, limit in (("at a half", 0.5), ("at 1 % false flags", np.quantile(stated[seen], 0.01))):
        flags = {s: float(np.mean(stated[seen & (unseen.sitter == s)] < limit)) for s in set(unseen.sitter)}
        worst = sorted(flags.items(), key=lambda each: -each[1])[:4]
        shut = unseen.closed
        caught = np.mean(stated[shut] < limit)
        print(f"  {label} ({limit:.3f}): closed caught {caught:.3f}, worst sitters", worst)


def baseline(unseen: Unseen, counted: NDArray) -> None:
    """Print what plain geometry, face normal plus iris offset, is off by, and if it helps the network."""
    answers = [np.empty_like(unseen.truth) for _ in range(2)]
    for axis, name in enumerate(("yaw", "pitch")):
        terms = (unseen.across, unseen.up)[axis]
        ways = terms, terms + ([NOD_DEG, 0, 0] if axis else [0, 0])
        truth = unseen.truth[:, axis]
        rows = np.concatenate([each[counted] for each in ways])
        weight = np.linalg.lstsq(rows, np.tile(truth[counted], 2), rcond=None)[0]
        missed = []
        for share in SHARES:
            each = [
                (1 - share) * n[:, axis] + share * t @ weight
                for n, t in zip(unseen.network, ways, strict=True)
            ]
            missed.append(np.mean([abs(one - truth)[counted].mean() for one in each]))
        for k in range(2):
            answers[k][:, axis] = ways[k] @ weight
        print(f"{name}: geometry of face, of iris, at rest", weight.round(3))
        print(f"{name}: mean error by share of geometry, from 0 in tenths", np.round(missed, 2))
    off = [np.median(np.hypot(*(each - unseen.truth)[counted].T)) for each in answers]
    print("gaze by geometry alone, median as is, nodded:", np.round(off, 2))


def gaze(unseen: Unseen) -> None:
    """Errors, confidence and the least of it."""
    told = unseen.open & unseen.seen
    counted = told & unseen.ahead
    baseline(unseen, counted)
    truth = unseen.truth
    errors = [np.empty_like(truth) for _ in range(2)]
    for axis, name in enumerate(("yaw", "pitch")):
        stated = [np.degrees(np.exp(b[:, axis].clip(-5, 0.5))) for b in (unseen.both, unseen.nodded_both)]
        missed = [each[:, axis] - truth[:, axis] for each in unseen.network]
        factor = errors_over_stated(
            *(np.concatenate([e[counted] for e in each]) for each in (missed, stated))
        )
        for k in range(2):
            errors[k][:, axis] = factor * stated[k]
        off, bias = (
            [round(float(each[counted].mean()), 2) for each in some] for some in (map(abs, missed), missed)
        )
        print(f"{name}: errors over stated {factor:.2f}; mean error as is, nodded {off}, bias {bias}")
    for k, name in enumerate(("as is", "nodded")):
        off = np.hypot(*(unseen.network[k] - truth).T)
        plain = counted & (unseen.variant == 0)
        print(f"gaze {name}: median {np.median(off[counted]):.2f}; plain looks {np.median(off[plain]):.2f}")
        by_tone("gaze angle", off, unseen, counted)
    words(unseen, unseen.network, errors, told)


def words(unseen: Unseen, answers: list[NDArray], errors: list[NDArray], told: NDArray) -> None:
    """Confidence of the word, and from which of it the goal is met."""
    clear = told & (abs(abs(unseen.truth) - [8, 12]) > 2).all(axis=1)
    said, odds = [], []
    for angles, error in zip(answers, errors, strict=True):
        each = [word_probabilities(*a, *e) for a, e in zip(angles, error, strict=True)]
        said.append(np.array([max(word, key=lambda name: word[name]) for word in each]))
        likely = np.array([max(word.values()) for word in each])
        odds.append(np.log(likely / np.maximum(1 - likely, 1e-6)))
    true = np.array([word_of(*each) for each in unseen.truth])
    right = [each == true for each in said]
    stacked = [np.concatenate([each[told] for each in both]) for both in (odds, right)]
    confidence = logistic("word right", *stacked, np.tile(unseen.sitter[told], 2))
    reliability("confidence", confidence, stacked[1])
    whole = [np.zeros(len(true)) for _ in range(2)]
    for k in range(2):
        whole[k][told] = confidence[k * told.sum() : (k + 1) * told.sum()]
    steep(unseen, said, odds, right, told, whole)
    grid = np.arange(0.2, 0.95, 0.01)
    met, afforded = [], []
    plain = clear & (unseen.variant == 0)
    for least in grid:
        sure = [clear & (each >= least) for each in whole]
        if all(less_its_error(right[k], sure[k], unseen.sitter) >= RIGHT_OF_DECIDED for k in (0, 1)):
            met.append(least)
        if all(less_its_error(sure[k], plain, unseen.sitter) >= 1 - MOST_UNSURE for k in (0, 1)):
            afforded.append(least)
    print(f"confidence from which enough are right {min(met):.2f}, to which few enough", end=" ")
    print(f"plain looks are unsure {max(afforded):.2f}, as is and nodded")
    for least in np.arange(0.3, 0.9, 0.05):
        line = []
        for k, variants in ((0, None), (1, None), (0, 0)):
            part = clear if variants is None else clear & (unseen.variant == variants)
            decided = part & (whole[k] >= least)
            swapped = (
                decided & np.isin(true, ("left", "right")) & np.isin(said[k], ("left", "right")) & ~right[k]
            )
            unsure = 1 - decided.sum() / part.sum()
            line.append(f"{right[k][decided].mean():.3f} right, {unsure:.3f} unsure, {swapped.sum()} swapped")
        print(f"words from {least:.2f}: as is, nodded, plain:", "; ".join(line))
    decided = clear & (whole[0] >= 0.5)
    for word in np.unique(true):
        part = clear & (true == word)
        share = right[0][part & decided].mean()
        print(f"  {word}: {part.sum()}, decided {decided[part].mean():.2f}, right {share:.3f}")


def steep(unseen: Unseen, said: list, odds: list, right: list, told: NDArray, whole: list) -> None:
    """Calibrate `up` and `down` by themselves, each at the level of the head at which it is right less often,
    and put that confidence into `whole`: nobody knows a head's own level from one picture.
    """
    down, up = told & (said[0] == "down"), told & (said[1] == "up")
    both = [
        (odds[0][down], odds[1][up]),
        (right[0][down], right[1][up]),
        (unseen.sitter[down], unseen.sitter[up]),
    ]
    score, happened, groups = (np.concatenate(each) for each in both)
    reliability("up or down", logistic("up or down right", score, happened, groups), happened)
    model = LogisticRegression(C=100.0).fit(score[:, None], happened)
    for k in range(2):
        part = told & np.isin(said[k], ("up", "down"))
        whole[k][part] = model.predict_proba(odds[k][part][:, None])[:, 1]


def less_its_error(right: NDArray, counted: NDArray, sitter: NDArray) -> float:
    """Share of `right` among the `counted`, less its standard error over sitters."""
    share = right[counted].mean()
    groups = [counted & (sitter == each) for each in np.unique(sitter[counted])]
    off = np.array([(right[each] - share).sum() for each in groups])
    return float(share - (len(off) / (len(off) - 1) * (off**2).sum()) ** 0.5 / counted.sum())


def lids(unseen: Unseen) -> None:
    """Open, closed, and open by the sitter's own usual opening."""
    for name, column, happened in (("open", 2, unseen.open), ("closed", 3, unseen.closed)):
        stated = logistic(name, unseen.both[:, column], happened, unseen.sitter)
        reliability(name, stated, happened)
        nodded = logistic(f"{name} (nodded)", unseen.nodded_both[:, column], happened, unseen.sitter)
        half, seen = unseen.words == "half", unseen.open & unseen.seen
        for least in (0.5, CLOSED_FROM) if name == "closed" else (0.5,):
            print(
                f"  {name} from {least}, of seen open, half, closed:",
                [
                    round(float(np.mean(each[part] >= least)), 4)
                    for part in (seen, half, unseen.closed)
                    for each in (stated, nodded)
                ],
            )
        if name == "open":
            by_tone("open called closed", stated < 0.5, unseen, seen)
            by_sitter(unseen, stated)
            by_tone("distance", abs(stated - unseen.open), unseen, ~half & (unseen.seen | unseen.closed))
    usual_share(unseen)


def usual_share(unseen: Unseen) -> None:
    """How well the frame's own evidence, the share of the sitter's usual opening, and both as joined by
    sitting/usual_eyes.py tell open eyes from half open and closed ones.
    """
    opening = unseen.eyes[:, :, 5].mean(axis=1)
    alone = logistic("open", unseen.both[:, 2], unseen.open, unseen.sitter)
    for label, looks in (("plain looks", unseen.variant == 0), ("all looks", unseen.variant >= 0)):
        rows = looks & (abs(unseen.yaw) <= MOST_TURN_DEG)
        sitter, happened, seen = unseen.sitter[rows], unseen.open[rows], unseen.seen[rows]
        usual = {each: np.quantile(opening[rows][sitter == each], 0.75) for each in np.unique(sitter)}
        relative = opening[rows] / [usual[each] for each in sitter]
        own = np.log(alone / (1 - alone).clip(1e-9))[rows].clip(-MOST_EVIDENCE, MOST_EVIDENCE)
        joined = 1 / (1 + np.exp(-(ALONE * own + RELATIVE * relative + CONSTANT)))
        logistic("refitted: alone, relative", np.stack([own, relative], axis=1), happened, sitter)
        half = (unseen.words != "closed")[rows]
        for name, stated in (
            ("alone", 1 / (1 + np.exp(-own))),
            ("share of the usual", relative.clip(1e-3, 2) / 2.001),
            ("joined", joined),
        ):
            loss = -np.mean(np.where(happened, np.log(stated), np.log1p(-stated)))
            print(
                f"  {label}, {name}: log-loss {loss:.4f}, AUC {roc_auc_score(happened, stated):.4f},"
                f" half against open {roc_auc_score(happened[half], stated[half]):.4f},"
                f" open below half {np.mean(stated[happened & seen] < 0.5):.4f},"
                f" half above {np.mean(stated[half & ~happened] >= 0.5):.4f}"
            )


def pupils(unseen: Unseen) -> None:
    """Share of the network in the place of the iris."""
    between = np.linalg.norm(unseen.pupils[:, 0] - unseen.pupils[:, 1], axis=1)[:, None]
    counted = unseen.open & unseen.seen & unseen.ahead
    for share in SHARES[4:]:
        placed = share * unseen.irises + (1 - share) * unseen.mesh_irises
        off = np.linalg.norm(placed - unseen.pupils, axis=2) / between
        plain = off[counted & (unseen.variant == 0)]
        print(f"pupils, share {share:.1f}: median {np.median(off[counted]):.4f}, mean", end=" ")
        print(f"{off[counted].mean():.4f}; plain {np.median(plain):.4f}")
        if share in (SHARES[7], SHARES[10]):
            by_tone("pupils", off.mean(axis=1), unseen, counted)
    signed = (unseen.irises - unseen.pupils) / between[..., None]
    print(
        "  network bias",
        signed[counted].mean(axis=(0, 1)).round(4),
        "mesh",
        ((unseen.mesh_irises - unseen.pupils) / between[..., None])[counted].mean(axis=(0, 1)).round(4),
    )


def zeros(unseen: Unseen, angles: NDArray, looks: NDArray, label: str) -> None:
    """Errors that are left once the sitter's own zero of gaze is taken off."""
    told = unseen.open & unseen.seen & looks
    left = []
    for sitter in np.unique(unseen.sitter):
        rows = told & (unseen.sitter == sitter)
        found = angles[rows]
        lens = found[(abs(found) < (CAMERA_YAW_DEG, CAMERA_PITCH_DEG)).all(axis=1)]
        if len(lens) < 5:
            continue
        zero = np.clip(len(lens) / (len(lens) + DOUBT_FRAMES) * np.median(lens, axis=0), -MOST_DEG, MOST_DEG)
        left.append(found - zero - unseen.truth[rows])
    off = np.concatenate(left)
    print(
        label,
        "errors once the zero is off: s.d.",
        off.std(axis=0).round(2),
        "robust",
        (1.4826 * np.median(abs(off), axis=0)).round(2),
        "rms",
        np.sqrt((off**2).mean(axis=0)).round(2),
        "before",
        np.sqrt(((angles - unseen.truth)[told] ** 2).mean(axis=0)).round(2),
    )


def main(paths: Iterable[str]) -> None:
    """Print everything."""
    first, *rest = paths
    with np.load(first) as stored:
        looks = dict(stored)
    parts = [dict(np.load(path)) for path in rest]
    by_size(Unseen(looks, parts, least_px=0.0))
    unseen = Unseen(looks, parts)
    gaze(unseen)
    lids(unseen)
    pupils(unseen)
    for label, part in (("plain looks:", unseen.variant == 0), ("all looks:", unseen.variant >= 0)):
        for each in unseen.network:
            zeros(unseen, each, part, label)


if __name__ == "__main__":
    main(sys.argv[1:])
