"""A watched folder that is moved away and made anew is another: seen at once, not at the next scan."""

from __future__ import annotations

from pathlib import Path

from eyeline.intake.events import Events


def test_a_root_made_anew_is_stale_until_it_is_listened_to(tmp_path: Path) -> None:
    root = tmp_path / "shoots"
    root.mkdir()
    events = Events([root], lambda *_: None)
    assert not events.is_stale
    try:
        assert events.start() == ()
        assert not events.is_stale
        root.rename(tmp_path / "away")
        assert not events.is_stale, "nothing is there to listen to"
        root.mkdir()
        assert events.is_stale
        events.renew()
        assert not events.is_stale
    finally:
        events.stop()
