"""The comparison of two runs: moments aside, every byte counts."""

from pathlib import Path

from tests.sidecar.same_sidecars import differing

SIDECAR = (Path(__file__).parent / "foreign.xmp").read_bytes() + b"<!-- 2031-04-17T18:22:05+02:00 -->"


def test_moments_aside_every_byte_counts(tmp_path: Path) -> None:
    before, after = tmp_path / "before", tmp_path / "after"
    for folder, moment in ((before, b"2031-04-17T18:22:05+02:00"), (after, b"2026-01-02T03:04:05.25Z")):
        folder.mkdir()
        for name in ("later", "other", "same"):
            (folder / f"{name}.xmp").write_bytes(SIDECAR.replace(b"2031-04-17T18:22:05+02:00", moment))
    assert differing(before, after) == []
    (after / "other.xmp").write_bytes(SIDECAR + b" ")
    (after / "later.xmp").unlink()
    assert differing(before, after) == ["later.xmp", "other.xmp"]
