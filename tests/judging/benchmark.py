"""How many verdicts and crops a second one core makes: python -m tests.judging.benchmark

Prints figures, asserts nothing: speed is no test. The photos are the bundled shoot's truth, repeated.
"""

import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(name, "1")

from collections.abc import Callable  # noqa: E402
from time import perf_counter  # noqa: E402

from eyeline.cropping.suggest import suggest  # noqa: E402
from eyeline.judging.columns import columns_of  # noqa: E402
from eyeline.judging.verdict import judge  # noqa: E402
from tests.judging.shipped import BRIEF, QUANTITIES, ROOT, rules, vocabulary  # noqa: E402
from tests.judging.truth import frames, measured, points_of  # noqa: E402

PHOTOS = 20_000
ROUNDS = 7


def fastest(work: Callable[[], object]) -> float:
    """Seconds of the fastest of several rounds: the one that the machine disturbed least."""
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def main() -> None:
    """Print verdicts a second, on numbers alone and from Measurements, verdict objects, and crops."""
    shoot = frames(ROOT / "shoot" / "truth.jsonl")
    photos = [measured(frame, frame["people"][0]) for frame in shoot]
    points = [points_of(frame, frame["people"][0]) for frame in shoot]
    books = [rules().genre(name) for name in BRIEF]
    quantities = tuple(QUANTITIES.values())
    many = (photos * (PHOTOS // len(photos) + 1))[:PHOTOS]
    columns = columns_of(many, quantities)
    seconds = fastest(lambda: judge(columns, books, vocabulary(), QUANTITIES))
    print(f"verdicts as shot on {len(books)} genres: {PHOTOS / seconds:,.0f} photos a second")
    seconds += fastest(lambda: columns_of(many, quantities))
    print(f"the same with columns made from measurements: {PHOTOS / seconds:,.0f}")
    judgement = judge(columns, books, vocabulary(), QUANTITIES)
    seconds = fastest(lambda: [judgement.verdict(row) for row in range(len(photos))])
    print(f"verdicts with all reasons in words: {len(photos) / seconds:,.0f}")
    served = [books[each] for each in judgement.served[: len(photos)]]
    seconds = sum(
        fastest(
            lambda frame=frame, where=where, taken=taken, book=book: suggest(  # type: ignore[misc]
                where, frame["width"], frame["height"], taken, book, quantities
            )
        )
        for frame, where, taken, book in zip(shoot, points, photos, served, strict=True)
    )
    print(f"crops of all formats of the genre served: {len(photos) / seconds:,.0f} photos a second")


if __name__ == "__main__":
    main()
