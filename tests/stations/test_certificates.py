"""Only who holds a key of the authority is listened to; keys are private; plain text stays on the machine.

Checked with OpenSSL's own command line, and with TLS connections by Python's ssl.
"""

from __future__ import annotations

import asyncio
import shutil
import ssl
import stat
import subprocess
from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.stations.certificates import make_certificates, security_for
from eyeline.stations.library import host_and_port, refuse_plain_beyond_this_machine
from eyeline.stations.serving import scheduler_at
from tests.waiting import PATIENCE_SECONDS

ENCRYPTED = "tls://127.0.0.1:0"


@pytest.fixture(scope="module")
def machines(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return make_certificates(tmp_path_factory.mktemp("authority"), ["studio", "chair-2"])


def test_openssl_finds_each_certified_by_the_authority_and_for_both_roles(machines: list[Path]) -> None:
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not installed")
    for machine in machines:
        for purpose in ("sslserver", "sslclient"):
            verify = ["openssl", "verify", "-x509_strict", "-purpose", purpose]
            files = ["-CAfile", machine / "authority.crt", machine / "own.crt"]
            said = subprocess.run([*verify, *files], capture_output=True, text=True, check=False)
            assert said.returncode == 0, said.stderr
    other = ["-CAfile", machines[0] / "own.crt", machines[1] / "own.crt"]
    assert subprocess.run(["openssl", "verify", *other], capture_output=True, check=False).returncode != 0


def test_keys_are_for_their_owner_alone_and_the_authoritys_travels_nowhere(machines: list[Path]) -> None:
    for folder in (machines[0].parent, *machines):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    for key in machines[0].parent.rglob("*.key"):
        assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert [path.name for path in machines[0].iterdir() if path.suffix == ".key"] == ["own.key"]


def test_a_machine_that_comes_later_is_certified_by_the_same_authority(machines: list[Path]) -> None:
    (later,) = make_certificates(machines[0].parent, ["chair-3"])
    assert (later / "authority.crt").read_bytes() == (machines[0] / "authority.crt").read_bytes()
    with pytest.raises(BadConfiguration, match="certificates already"):
        make_certificates(machines[0].parent, ["chair-3"])
    with pytest.raises(BadConfiguration, match="no name of a machine"):
        make_certificates(machines[0].parent, ["../chair"])


def test_what_is_missing_open_to_others_or_mixed_up_is_refused_with_the_cure(
    machines: list[Path], tmp_path: Path
) -> None:
    with pytest.raises(BadConfiguration, match="eyeline workers certificates"):
        security_for(ENCRYPTED, tmp_path)
    mine = Path(shutil.copytree(machines[0], tmp_path / "mine"))
    (mine / "own.key").chmod(0o640)
    with pytest.raises(BadConfiguration, match="chmod 600"):
        security_for(ENCRYPTED, mine)
    shutil.copy(machines[1] / "own.key", mine / "own.key")
    with pytest.raises(BadConfiguration, match="do not fit together"):
        security_for(ENCRYPTED, mine)


@pytest.mark.parametrize("address", ["tcp://192.0.2.1:8786", "tcp://0.0.0.0:8786", "ws://127.0.0.1:8786"])
def test_plain_text_leaves_no_machine(address: str) -> None:
    """192.0.2.0/24 belongs to nobody (RFC 5737)."""
    with pytest.raises(BadConfiguration, match="tls://"):
        refuse_plain_beyond_this_machine(address)
    with pytest.raises(BadConfiguration, match="tls://"):
        security_for(address, Path())


def test_a_stranger_is_turned_away_before_a_byte_of_theirs_is_read(
    machines: list[Path], tmp_path: Path
) -> None:
    """Without a certificate, with one of another authority, without TLS: and the scheduler goes on."""
    (stranger,) = make_certificates(tmp_path / "elsewhere", ["stranger"])

    async def speak(address: str, context: ssl.SSLContext | None) -> bytes:
        host, port = host_and_port(address)
        reader, writer = await asyncio.open_connection(host, port, ssl=context)
        try:
            writer.write(b"a pickle")
            return await asyncio.wait_for(reader.read(), PATIENCE_SECONDS)
        finally:
            writer.close()

    def context(folder: Path | None) -> ssl.SSLContext:
        made = ssl.create_default_context(cafile=str(machines[0] / "authority.crt"))
        made.check_hostname = False
        if folder is not None:
            made.load_cert_chain(folder / "own.crt", folder / "own.key")
        return made

    async def all_of_it() -> None:
        security = security_for(ENCRYPTED, machines[0])
        async with scheduler_at(ENCRYPTED, security) as scheduler:
            heard = []
            scheduler.handle_comm = heard.append
            for folder in (None, stranger):
                with pytest.raises(ssl.SSLError):
                    await speak(scheduler.address, context(folder))
            with pytest.raises((OSError, TimeoutError)):
                assert not await speak(scheduler.address, None)
                raise ConnectionError("the scheduler hung up")
            assert heard == []
            del scheduler.handle_comm
            from eyeline.stations.library import load

            async with load().Client(
                scheduler.address,
                asynchronous=True,
                security=security_for(ENCRYPTED, machines[1]),
                set_as_default=False,
            ) as client:
                assert client.status == "running"

    asyncio.run(all_of_it())


def test_no_page_is_served_beyond_this_machine(machines: list[Path]) -> None:
    """Dask's scheduler has a web server that encrypts nothing: it listens on loopback, and has no page."""

    async def ask() -> bytes:
        async with scheduler_at(ENCRYPTED, security_for(ENCRYPTED, machines[0])) as scheduler:
            assert scheduler.http_server.address == "127.0.0.1"
            reader, writer = await asyncio.open_connection("127.0.0.1", scheduler.http_server.port)
            writer.write(b"GET /info/main/workers.html HTTP/1.0\r\n\r\n")
            answer = await reader.read()
            writer.close()
            return answer

    assert asyncio.run(ask()).startswith(b"HTTP/1.1 404")
