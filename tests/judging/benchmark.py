"""How many verdicts and crops a second one core makes: python -m tests.judging.benchmark

Prints figures, asserts nothing: speed is no test. The photos are the bundled shoot's truth, repeated.
"""

import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(name, "1")

from collections.abc import Callable  # noqa: E402
from time import perf_counter  # noqa: E402

from eyeline.cropping.suggest import Uncropped, suggestions  # noqa: E402
from eyeline.judging.columns import columns_of  # noqa: E402
from eyeline.judging.verdict import judge  # noqa: E402
from eyeline.sitting.set_measures import set_measures  # noqa: E402
from tests.judging.shipped import BRIEF, QUANTITIES, ROOT, rules, vocabulary  # noqa: E402
from tests.judging.truth import frames, measured, points_of  # noqa: E402
from tests.sitting.invented import shot  # noqa: E402

PHOTOS = 20_000
SITTING = 300
"""Frames of one sitting, one look, one long series: the most that a frame is compared with others."""
ROUNDS = 7


def fastest(work: Callable[[], object]) -> float:
    """Seconds of the fastest of several rounds: the one that the machine disturbed least."""
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def reference_loop() -> int:
    """A fixed piece of plain Python, the same on every machine and in every year."""
    total = 0
    for number in range(1_000_000):
        total += number & 7
    return total


def told(what: str, photos: int, seconds: float) -> None:
    """One figure in photos a second, between two runs of the reference loop, and as photos a loop."""
    loop = fastest(reference_loop)
    print(f"{what:58}{photos / seconds:>12,.0f} photos a second{photos * loop / seconds:>12,.1f} a loop")


def main() -> None:
    """Print the figures, each also as photos in the time of a fixed loop, which is the machine's measure."""
    shoot = frames(ROOT / "shoot" / "truth.jsonl")
    photos = [measured(frame, frame["people"][0]) for frame in shoot]
    points = [points_of(frame, frame["people"][0]) for frame in shoot]
    books = [rules().genre(name) for name in BRIEF]
    quantities = tuple(QUANTITIES.values())
    many = (photos * (PHOTOS // len(photos) + 1))[:PHOTOS]
    columns = columns_of(many, quantities)
    as_shot = fastest(lambda: judge(columns, books, vocabulary(), QUANTITIES))
    told(f"verdicts as shot on {len(books)} genres, columns at hand", PHOTOS, as_shot)
    as_shot += fastest(lambda: columns_of(many, quantities))
    told("verdicts as shot from measurements", PHOTOS, as_shot)
    judgement = judge(columns, books, vocabulary(), QUANTITIES)
    words = fastest(lambda: [judgement.verdict(row) for row in range(len(photos))])
    told("reasons and keywords in words", len(photos), words)

    of_genre: dict[int, list[Uncropped]] = {}
    for row, (frame, where, known) in enumerate(zip(shoot, points, photos, strict=True)):
        uncropped = Uncropped(where, frame["width"], frame["height"], known)
        of_genre.setdefault(int(judgement.served[row]), []).append(uncropped)
    crops = fastest(
        lambda: [suggestions(each, books[served], quantities) for served, each in of_genre.items()]
    )
    told("crops of all formats of the genre served", len(photos), crops)
    seconds = crops + words + as_shot * len(photos) / PHOTOS
    told("verdicts with reasons and crops", len(photos), seconds)
    shots = [shot(number, number * 2.5) for number in range(SITTING)]
    told("measures of the set, one sitting", SITTING, fastest(lambda: set_measures(shots)))


if __name__ == "__main__":
    main()
