"""`eyeline workers`: measuring on several machines."""

from __future__ import annotations

import argparse
from pathlib import Path

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted
from eyeline.errors import BadConfiguration, EyelineError, printable
from eyeline.settings.configuration import Configuration, default_certificates
from eyeline.settings.workers_table import SCHEDULER_PORT, scheduler_address

ANY_PORT = ":0"


def run(arguments: argparse.Namespace) -> int:
    """Start, show, or make what several machines need."""
    configuration = configuration_of(arguments)
    return {"start": _start, "scheduler": _scheduler, "status": _status, "certificates": _certificates}[
        arguments.what
    ](arguments, configuration)


def _start(arguments: argparse.Namespace, configuration: Configuration) -> int:
    from eyeline.stations.paths import path_map

    address = _address(arguments, configuration)
    paths = path_map(arguments.map)
    count = configuration.workers if arguments.count is None else arguments.count
    if count < 1:
        raise BadConfiguration(f"--count {count} measures nothing", cure="Say 1 or more")
    from eyeline.stations.serving import run_station

    folder = arguments.certificates or configuration.certificates
    run_station(address, folder, paths, count, _say, arguments.until_input_ends)
    return DONE


def _scheduler(arguments: argparse.Namespace, configuration: Configuration) -> int:
    address = _address(arguments, configuration)
    from eyeline.stations.serving import run_scheduler

    folder = arguments.certificates or configuration.certificates
    run_scheduler(address, folder, _say, arguments.until_input_ends)
    return DONE


def _status(arguments: argparse.Namespace, configuration: Configuration) -> int:
    address = _address(arguments, configuration)
    for line in stations_in_words(address, arguments.certificates or configuration.certificates):
        say(line)
    return DONE


def _certificates(arguments: argparse.Namespace, _: Configuration) -> int:
    from eyeline.stations.certificates import make_certificates

    folder = (arguments.folder or default_certificates().with_name("authority")).absolute()
    try:
        made = make_certificates(folder, arguments.machines)
    except OSError as error:
        raise EyelineError(
            f"certificates cannot be written ({error.strerror or error})", folder, "Name another --folder"
        ) from error
    say(f"{counted(len(made), 'machine')} certified. Carry each folder to its machine, privately:")
    for each in made:
        say(f"  {printable(each)}")
    say(f"There it is to be called {printable(default_certificates())}.")
    say("Whoever holds one of these keys can run anything on every station.")
    return DONE


def stations_in_words(address: str, certificates: Path) -> list[str]:
    """What the stations at `address` do, a line each and one for each photo in hand. Raises EyelineError."""
    from eyeline.stations.overview import who_does_what

    found = who_does_what(address, certificates)
    processes = sum(each.processes for each in found)
    lines = [
        f"{counted(len(found), 'station')} with {counted(processes, 'process', 'processes')} at {address}."
    ]
    if not found:
        lines.append(f"Start one on a machine that sees the photos: eyeline workers start {address}")
    for each in found:
        lines.append(
            f"  {printable(each.host)}: {counted(each.processes, 'process', 'processes')}, "
            f"{counted(each.measured, 'photo')} measured"
        )
        if each.refused:
            lines.append(f"    refused: {each.refused}")
        lines += [f"    measures {printable(path)}" for path in each.in_hand]
    return lines


def _address(arguments: argparse.Namespace, configuration: Configuration) -> str:
    address = arguments.scheduler or configuration.scheduler
    if address is None:
        raise BadConfiguration(
            "no scheduler is named",
            cure=f"Say where, as in tls://studio:{SCHEDULER_PORT}, or put it in the configuration "
            '([workers] scheduler = "...")',
        )
    try:
        scheduler_address(address.removesuffix(ANY_PORT) + ":1" if address.endswith(ANY_PORT) else address)
    except ValueError as error:
        from eyeline.stations.library import refuse_plain_beyond_this_machine

        if "://" in address:
            refuse_plain_beyond_this_machine(address)
        raise BadConfiguration(
            f"{address} is no address of a scheduler", cure=f"Say it as in tls://studio:{SCHEDULER_PORT}"
        ) from error
    return str(address)


def _say(line: str) -> None:
    print(printable(line), flush=True)
