"""Certificates for the machines that measure together: one authority, which no other machine trusts.

Both ends of every connection show a certificate of this authority (X.509, RFC 5280; TLS 1.3, RFC 8446) before
a byte of Dask's protocol is read. That protocol carries pickled objects and trusts whoever speaks it, so to
hold a key of this authority is to be able to run anything on every station.
"""

from __future__ import annotations

import re
import ssl
import stat
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from eyeline.errors import BadConfiguration
from eyeline.stations.library import MISSING, load, refuse_plain_beyond_this_machine
from eyeline.system.whole_file import write_whole

AUTHORITY, AUTHORITY_KEY, OWN, OWN_KEY = "authority.crt", "authority.key", "own.crt", "own.key"

VALID = timedelta(days=5 * 365)
"""As long as studios keep machines; new ones are made by the same command."""

CLOCKS_APART = timedelta(days=1)
"""How far back certificates are valid, for machines whose clock is behind."""

PRIVATE_FOLDER, PRIVATE_FILE = 0o700, 0o600
NAME = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.-]{0,61}[A-Za-z0-9])?")
"""A host's name (RFC 1123)."""


def make_certificates(folder: Path, machines: Sequence[str]) -> list[Path]:
    """Make certificates for `machines`, a folder each in `folder`, by its authority, made if there is none.

    The folder of a machine is to be carried there, whole. Raises BadConfiguration, OSError.
    """
    for name in machines:
        if not NAME.fullmatch(name):
            raise BadConfiguration(f"{name!r} is no name of a machine", cure="Use letters, digits, - and .")
        if (folder / name / OWN_KEY).exists():
            raise BadConfiguration(
                "there are certificates already", folder / name, "Remove that folder to have new ones"
            )
    try:
        from eyeline.stations.authority import Authority
    except ImportError as error:
        raise MISSING from error
    folder.mkdir(PRIVATE_FOLDER, parents=True, exist_ok=True)
    now = datetime.now(UTC)
    since, until = now - CLOCKS_APART, now + VALID
    if (folder / AUTHORITY_KEY).exists():
        authority = Authority.read(
            (folder / AUTHORITY).read_bytes(), (folder / AUTHORITY_KEY).read_bytes(), folder
        )
    else:
        authority = Authority.new(since, until)
        write_whole(folder / AUTHORITY_KEY, authority.key_pem, PRIVATE_FILE)
        write_whole(folder / AUTHORITY, authority.certificate_pem)
    made = []
    for name in machines:
        certificate, key = authority.certify(name, since, until)
        place = folder / name
        place.mkdir(PRIVATE_FOLDER, exist_ok=True)
        write_whole(place / AUTHORITY, authority.certificate_pem)
        write_whole(place / OWN, certificate)
        write_whole(place / OWN_KEY, key, PRIVATE_FILE)
        made.append(place)
    return made


def security_for(address: str, folder: Path) -> Any:
    """Dask's Security for a connection with `address`: none on this machine, else the keys in `folder`.

    Raises BadConfiguration where the address is plain and leaves this machine, a file is missing, belongs to
    another authority, or where others could read the key.
    """
    refuse_plain_beyond_this_machine(address)
    security = load().Security
    if address.startswith("tcp://"):
        return security(require_encryption=False)
    authority, own, key = (folder / name for name in (AUTHORITY, OWN, OWN_KEY))
    for path in (authority, own, key):
        if not path.is_file():
            raise BadConfiguration(
                "this certificate is not here",
                path,
                "On the machine with the scheduler: eyeline workers certificates NAME...; then bring this "
                "machine's folder here",
            )
    if key.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise BadConfiguration("others than you may read this key", key, f"Run: chmod 600 {key}")
    try:
        context = ssl.create_default_context(cafile=str(authority))
        context.load_cert_chain(own, key)
    except (ssl.SSLError, OSError) as error:
        raise BadConfiguration(
            f"these certificates do not fit together ({error})", folder, "Bring this machine's folder again"
        ) from error
    files = {"cert": str(own), "key": str(key)}
    roles = {
        f"tls_{role}_{part}": path
        for role in ("client", "scheduler", "worker")
        for part, path in files.items()
    }
    return security(
        require_encryption=True,
        tls_ca_file=str(authority),
        tls_min_version=ssl.TLSVersion.TLSv1_3,
        **roles,
    )
