"""Collecting from a real OPC UA server in a process of its own."""

import asyncio
import datetime
import json
import subprocess
import sys
import time
from pathlib import Path

import pytest
from broker import free_port
from collecting import MACHINE, Place, machine_text, wait_for

pytest.importorskip("asyncua", reason="asyncua is not installed: pip install 'linkwright[live]'")

SCRIPT = Path(__file__).parents[2] / "opcua_machine.py"
BEGUN = datetime.datetime(2026, 3, 2, 6, 0, tzinfo=datetime.UTC)
BAD = 0x80310000  # BadNoCommunication, OPC 10000-6 and the published table of status codes


def at(seconds):
    """A source time of the invented machine."""
    return (BEGUN + datetime.timedelta(seconds=seconds)).isoformat()


class Machine:
    """The process, asked by lines."""

    def __init__(self, folder):
        self.port, self.folder = free_port(), folder
        self.start()

    @property
    def url(self):
        """Its address."""
        return f"opc.tcp://127.0.0.1:{self.port}/machine"

    def start(self):
        """Start it, and wait until it serves."""
        self.process = subprocess.Popen(  # noqa: S603
            [sys.executable, str(SCRIPT), str(self.port), str(self.folder)],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )  # fmt: skip
        assert self.process.stdout.readline() == "ready\n"

    def stop(self):
        """End it."""
        self.process.stdin.close()
        self.process.kill()
        self.process.wait()
        self.process.stdout.close()

    def asked(self, **words):
        """Carry out a line."""
        self.process.stdin.write(json.dumps(words) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def weld(self, number, seconds, *, current=8.1, status=0, force=None):
        """One weld: values first, then the count."""
        write = [["Current", current, at(seconds), status]]
        if force is not None:
            write.append(["Force", force, at(seconds), 0])
        self.asked(write=[*write, ["Counter", number, at(seconds), 0]])


@pytest.fixture(scope="module")
def certificates(tmp_path_factory):
    """Certificates of the machine and of the collector."""
    from cryptography.x509.oid import ExtendedKeyUsageOID

    cert_gen = pytest.importorskip("asyncua.crypto.cert_gen")
    folder = tmp_path_factory.mktemp("machine")
    for name, uri, usage in (("server", "urn:freeopcua:python:server", "SERVER_AUTH"),
                             ("own", "urn:linkwright:collect", "CLIENT_AUTH")):  # fmt: skip
        made = cert_gen.setup_self_signed_certificate(
            folder / f"{name}.pem", folder / f"{name}.der", uri, "localhost",
            [getattr(ExtendedKeyUsageOID, usage)], {},
        )  # fmt: skip
        asyncio.run(made)
        (folder / f"{name}.pem").chmod(0o600)
    return folder


@pytest.fixture(scope="module")
def machine(certificates):
    """A running machine; its counter goes on from test to test."""
    running = Machine(certificates)
    write = [["Current", 7.0, at(0), 0], ["Force", 900.0, at(0), 0], ["Coil", "C-1", at(0), 0]]
    running.asked(write=[*write, ["Counter", 0, at(0), 0]])
    yield running
    running.stop()


def test_each_count_gives_a_row_with_the_values_of_its_time(tmp_path, machine) -> None:
    """Several counts in one notice are told apart by their source times; values hold."""
    place = Place(tmp_path, machine_text(machine.url))
    with place.running() as run:
        wait_for(lambda: len(place.rows()) == 1)
        machine.weld(1, 1, current=8.0, force=901.0)
        machine.weld(2, 2, current=8.2)
        machine.weld(3, 3, current=8.4, force=903.0)
        machine.weld(6, 6, current=float("nan"))
        machine.weld(7, 7, status=BAD)
        machine.weld(8, 8, current=8.8)
        wait_for(lambda: len(place.rows()) == 5 and len(place.set_aside()) == 2)
    rows = place.closed()
    assert [(one["counter"], one["current_kA"], one["electrode_force_N"]) for one in rows] == [
        (0, 7.0, 900.0), (1, 8.0, 901.0), (2, 8.2, 901.0), (3, 8.4, 903.0), (8, 8.8, 903.0),
    ]  # fmt: skip
    assert {one["coil"] for one in rows} == {"C-1"}
    assert rows[1]["clock"] == "2026-03-02T06:00:01.000000Z"
    source, server, status = rows[1]["stamps"]["current_A"]
    assert (source, status) == (rows[1]["clock"], 0)
    assert server > "2026"
    reasons = [one["reason"] for one in place.set_aside()]
    assert reasons == ["current_A: nan is not a finite number",
                       "current_A: status BadNoCommunication"]  # fmt: skip
    assert str(BAD) in place.set_aside()[1]["text"]
    assert [(one.first, one.last) for one in run.answer.gaps] == [(4, 7)]


def test_a_new_start_does_not_tell_the_present_again(tmp_path, machine) -> None:
    """The present count is read at each connection; it is the same reading."""
    place = Place(tmp_path, machine_text(machine.url))
    assert place.once().tally.rows == 1
    machine.asked(write=[["Current", 5.0, at(50), 0]])  # in the middle of the next weld
    assert place.once().tally.rows == 0


def test_nothing_is_ever_written_to_a_machine(machine) -> None:
    """Requests to write, call or delete do not leave the client, though the server allows them."""
    from asyncua import ua

    from linkwright.link_data.live.collect_file import collect_of_bytes
    from linkwright.link_data.live.opcua_source import NotReading, OpcuaSource

    held = collect_of_bytes(machine_text(machine.url).encode(), "collect.toml")
    source = OpcuaSource(held.servers[0], held.readings, None, None, None, None)

    async def tried():
        client = source.client("127.0.0.1")
        await client.connect()
        node = client.get_node("ns=2;s=W.Coil")
        before = await node.read_value()
        for act in (
            lambda: node.write_value("changed"),
            lambda: node.call_method("2:anything"),
            lambda: client.delete_nodes([node]),
            lambda: node.add_variable(ua.NodeId("new", 2), "2:new", 1),
            lambda: node.set_writable(False),
        ):
            with pytest.raises((NotReading, ConnectionError)):
                await act()
        after = await node.read_value()
        await client.disconnect()
        return before, after

    before, after = asyncio.run(tried())
    assert before == after == machine.asked(read="Coil")


def test_signed_and_encrypted_with_a_user(tmp_path, machine, certificates, monkeypatch) -> None:
    """The endpoint with a certificate and a pass word from the environment; a wrong one is told."""
    monkeypatch.setenv("HALL_PASS_WORD", "quiet river")
    lines = ['user = "collector"', 'password_env = "HALL_PASS_WORD"',
             'security = "sign_and_encrypt"', f'certificate_file = "{certificates}/own.der"',
             f'key_file = "{certificates}/own.pem"',
             f'server_certificate_file = "{certificates}/server.der"']  # fmt: skip
    place = Place(tmp_path, machine_text(machine.url, *lines))
    machine.weld(60, 60)
    answer = place.once()
    assert answer.whole, place.said
    assert answer.tally.rows == 1
    monkeypatch.setenv("HALL_PASS_WORD", "loud river")
    place.file.write_text("give_up_after_s = 0.1\n" + place.file.read_text())
    refused = place.once()
    assert not refused.whole
    assert "river" not in "".join(place.said)
    assert refused.sources[0][1].last_error == "the server refuses: BadUserAccessDenied"


def test_a_node_that_is_not_there_is_told(tmp_path, machine) -> None:
    """With its name and the server's reason."""
    text = machine_text(machine.url, reading=MACHINE.replace("W.Force", "W.Fource"))
    place = Place(tmp_path, "give_up_after_s = 0.1\n" + text)
    begun = time.monotonic()
    answer = place.once()
    assert time.monotonic() - begun < 5
    assert not answer.whole
    assert answer.sources[0][1].last_error == (
        "the node ns=2;s=W.Fource of weld-W07: BadNodeIdUnknown"
    )


def test_the_server_stops_and_starts_again(tmp_path, machine) -> None:
    """The connection is made anew; what was counted meanwhile is a gap that is told."""
    machine.weld(100, 100, force=1.0)
    place = Place(tmp_path, machine_text(machine.url))
    with place.running() as run:
        wait_for(lambda: len(place.rows()) == 1)
        machine.stop()
        wait_for(lambda: any("next try" in one for one in place.said))
        machine.start()
        machine.asked(write=[["Coil", "C-2", at(100), 0]])
        machine.weld(105, 105, force=1.0)
        wait_for(lambda: 105 in {one["counter"] for one in place.rows()})
    assert run.answer.whole
    assert 100 in {one["counter"] for one in place.closed()}
    assert run.answer.sources[0][1].connections == 2
    assert any("number 101 to 104" in one for one in place.said)
