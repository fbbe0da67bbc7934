"""`eyeline service`: the daemon starts with the user's session and is watched over."""

from __future__ import annotations

import argparse
import subprocess
import sys

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import complain, say
from eyeline.cli.words import configuration_of
from eyeline.errors import BadConfiguration, printable
from eyeline.run.service import Service, carry_out, service


def run(arguments: argparse.Namespace) -> int:
    """Install, remove or show; 1 where the service manager does not do as it is told."""
    if arguments.what == "install":
        return _install(arguments)

    return (_remove if arguments.what == "remove" else _status)(service((), ()))


def _install(arguments: argparse.Namespace) -> int:
    configuration = configuration_of(arguments)
    paths = [path.resolve() for path in arguments.paths]
    watched = paths or [folder.path for folder in configuration.folders]
    if not watched:
        raise BadConfiguration(
            "there is no folder to watch", cure="Name one, or put [[folder]] in the configuration"
        )
    words = [str(path) for path in paths]
    if arguments.config is not None:
        words += ["--config", str(arguments.config.resolve())]
    told = configuration.tell.file
    written = [*watched, configuration.ledger.parent, *([told.parent] if told is not None else [])]
    made = service(words, written, network=configuration.engine == "dask")
    if arguments.print:
        sys.stdout.write(made.content.decode("utf-8", "backslashreplace"))
        return DONE
    configuration.ledger.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    made.file.parent.mkdir(parents=True, exist_ok=True)
    made.file.write_bytes(made.content)
    say(f"Written: {printable(made.file)}")
    if not made.verified:
        say("Unverified: this has not been tried on a real system of this kind.")
    wrong = carry_out(made.start)
    if wrong is not None:
        said = "; ".join(" ".join(command) for command in made.start)
        complain(f"the service is not started ({wrong}). By hand: {said}")
        return SOME_UNREADABLE
    say("Started. It starts with your session from now on. Is it well? eyeline service status")
    return DONE


def _remove(made: Service) -> int:
    if not made.file.exists():
        say("There is no service of eyeline's.")
        return DONE
    wrong = carry_out(made.stop)
    made.file.unlink()
    say(f"Removed: {printable(made.file)}")
    if wrong is not None:
        complain(f"the service manager could not stop it ({wrong}).")
        return SOME_UNREADABLE
    return DONE


def _status(made: Service) -> int:
    if not made.file.exists():
        say("Not installed. To install it: eyeline service install")
        return DONE
    say(f"Installed: {printable(made.file)}")
    sys.stdout.flush()  # before systemctl speaks
    try:
        return DONE if subprocess.run(made.status, check=False).returncode == 0 else SOME_UNREADABLE
    except OSError as error:
        say(f"The service manager cannot be asked: {error}")
        return SOME_UNREADABLE
