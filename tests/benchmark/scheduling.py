"""What handing photos to a station and taking answers costs: scheduler, daemon, station; nothing is measured.

For each photo a question to a real station, over TLS as `stations.dispatch` asks it, with an answer as large
as three small versions. Prints milliseconds of processor time a photo and process.
"""

from __future__ import annotations

import argparse
import asyncio
import operator
import os
import time
from pathlib import Path
from typing import Any

from eyeline.stations.library import load
from eyeline.stations.meeting import Meeting
from eyeline.stations.own import own_stations

PICTURES_BYTES = 250_000
"""Small versions of a photo take 0.2 to 0.3 MB (`settings.grammar.PREVIEWS_GB`)."""

IN_HAND = 8
"""Two for each of four processes."""


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.scheduling", description=__doc__)
    parser.add_argument("--photos", type=int, default=500)
    arguments = parser.parse_args()
    with own_stations(4) as meeting:
        asyncio.run(_hand_out(meeting, 50))  # connections are made, modules loaded
        processes = {"daemon": os.getpid(), **_started()}
        before = {name: _processor_ms(process) for name, process in processes.items()}
        start = time.perf_counter()
        asyncio.run(_hand_out(meeting, arguments.photos))
        seconds = time.perf_counter() - start
        for name, process in processes.items():
            used = (_processor_ms(process) - before[name]) / arguments.photos
            print(f"{name}: {used:.1f} ms of processor time a photo")
        print(f"{arguments.photos} photos, {arguments.photos / seconds:.0f} a second by the clock")


async def _hand_out(meeting: Meeting, photos: int) -> None:
    client: Any = load().Client(
        meeting.address, asynchronous=True, security=meeting.security, set_as_default=False
    )
    packed = load().protocol.pickle.dumps
    async with client:
        await client.wait_for_workers(1)
        (station,) = (await client.scheduler.identity(n_workers=-1))["workers"]
        room = asyncio.Semaphore(IN_HAND)

        async def one() -> None:
            async with room:
                args = packed((b"x", PICTURES_BYTES))
                told = await client.rpc(station).run(function=packed(operator.mul), args=args)
                assert len(told["result"]) == PICTURES_BYTES

        await asyncio.gather(*(one() for _ in range(photos)))


def _started() -> dict[str, int]:
    """Scheduler and station among the children of this process (proc_pid_task_children(5))."""
    found = {}
    for task in Path(f"/proc/{os.getpid()}/task").iterdir():
        for child in map(int, (task / "children").read_text().split()):
            words = Path(f"/proc/{child}/cmdline").read_bytes().split(b"\0")
            for word, name in ((b"scheduler", "scheduler"), (b"start", "station")):
                if b"workers" in words and word in words:
                    found[name] = child
    return found


def _processor_ms(process: int) -> float:
    after_name = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return 1000 * (int(after_name[11]) + int(after_name[12])) / os.sysconf("SC_CLK_TCK")


if __name__ == "__main__":
    main()
