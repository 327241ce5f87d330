"""Collecting from a real broker: kept while nobody listens, confirmed when it is on the disk."""

import errno
import os
import time

import pytest
from broker import Broker, program
from collecting import Place, broker_text, message, wait_for

from linkwright.link_data.live.spool import Spool, SpoolInUse
from linkwright.quantities import InputErrors


def numbers(rows):
    """The counters."""
    return [one["counter"] for one in rows]


@pytest.fixture
def place(tmp_path, broker):
    """A folder whose collector is known at the broker."""
    made = Place(tmp_path, broker_text(broker.url))
    assert made.once().whole
    return made


def test_messages_wait_at_the_broker_and_come_once(place, broker) -> None:
    """What was published while nobody listened is taken; a second run finds nothing."""
    broker.publish("works/W07/weld", [message(n) for n in range(60)])
    answer = place.once()
    assert numbers(place.closed()) == list(range(60))
    first = place.closed()[0]
    assert (first["machine"], first["clock"], first["current_kA"]) == ("W07", "1764190000000", 8.1)
    assert (answer.tally.rows, answer.tally.repeats, answer.gaps) == (60, 0, ())
    assert place.once().tally.rows == 0


def test_repeats_are_dropped_contradictions_kept_and_gaps_told(place, broker) -> None:
    """The same key and content is written once; other content is left to ingest to judge."""
    broker.publish("works/W07/weld", [message(1), message(1), message(5), message(5, 9.0)])
    answer = place.once()
    assert numbers(place.closed()) == [1, 5, 5]
    assert answer.tally.repeats == 1
    assert [(one.first, one.last) for one in answer.gaps] == [(2, 4)]
    assert "W07, weld: 3 readings missing, number 2 to 4" in place.said
    broker.publish("works/W07/weld", [message(3)])  # late, after a new start
    assert [(one.first, one.last) for one in place.once().gaps] == [(2, 2), (4, 4)]


def test_what_is_no_reading_is_set_aside_with_its_reason(place, broker) -> None:
    """Malformed messages are kept apart, confirmed, and do not stop what follows."""
    bad = [b"\xff\xfe", b'{"n": NaN}', b"[" * 50_000, b'{"n": 1, "n": 2}', b"{" + b" " * 4_100_000,
           b'{"n": 1e400, "t": 5}', b'{"n": 2, "t": 5, "weld": {"current": "8.1"}}',
           b'{"n": 3, "t": 5, "weld": {"current": 1e400}}', b"[]", b'{"t": 5}']  # fmt: skip
    broker.publish("works/W07/weld", [*bad, message(7)])
    answer = place.once()
    assert numbers(place.closed()) == [7]
    assert answer.tally.set_aside == len(bad)
    reasons = [one["reason"] for one in place.set_aside()]
    assert reasons[0] == "is not UTF-8"
    assert reasons[4] == "has 4100001 bytes, more than 4000000"
    assert reasons[6] == "current_A: '8.1' is not a number"
    assert reasons[-1] == "counter: is empty"
    assert all(len(one["text"]) <= 2000 for one in place.set_aside())
    assert place.once().tally.set_aside == 0


def test_the_broker_stops_and_starts_again(place, broker) -> None:
    """The connection is made anew by itself, and nothing is lost or written twice."""
    with place.running() as run:
        wait_for(lambda: bool(place.said) or (place.spool / "map.toml").exists())
        broker.publish("works/W07/weld", [message(n) for n in range(10)])
        wait_for(lambda: len(place.rows()) == 10)
        broker.stop()
        wait_for(lambda: any("next try" in one for one in place.said))
        broker.start()
        broker.publish("works/W07/weld", [message(n) for n in range(10, 20)])
        wait_for(lambda: len(place.rows()) == 20)
    assert run.answer.whole
    assert numbers(place.closed()) == list(range(20))
    assert run.answer.sources[0][1].connections >= 2


def test_a_full_disk_confirms_nothing(place, broker, monkeypatch) -> None:
    """The sentence says so, no half line stays, and the broker brings all of it again."""
    real = os.pwrite

    def full(fd, raw, at):
        if len(raw) > 100:
            return real(fd, raw[:100], at)
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "pwrite", full)
    with place.running() as run:
        broker.publish("works/W07/weld", [message(n) for n in range(5)])
        wait_for(lambda: any("the disk is full" in one for one in place.said))
    assert place.rows() == []
    assert not run.answer.whole
    assert run.answer.tally.unwritten == 5
    monkeypatch.undo()
    assert place.once().whole
    assert numbers(place.closed()) == list(range(5))


def test_room_on_the_disk_again_goes_on_by_itself(place, broker, monkeypatch) -> None:
    """Nobody has to start it again."""
    real = os.fsync

    def full(fd):
        raise OSError(errno.EDQUOT, "Disk quota exceeded")

    with place.running() as run:
        broker.publish("works/W07/weld", [message(0)])
        wait_for(lambda: len(place.rows()) == 1)
        monkeypatch.setattr(os, "fsync", full)
        broker.publish("works/W07/weld", [message(n) for n in range(1, 5)])
        wait_for(lambda: any("the disk is full" in one for one in place.said))
        monkeypatch.setattr(os, "fsync", real)
        wait_for(lambda: len(place.rows()) == 5)
    assert run.answer.whole
    assert numbers(place.closed()) == list(range(5))


def test_two_collectors_do_not_share_a_spool(place) -> None:
    """The second is told."""
    held = Spool(place.spool, 60.0, time.monotonic)
    with pytest.raises(SpoolInUse, match="another collector"):
        place.once()
    held.release()
    assert place.once().whole


@pytest.mark.skipif(program() is None, reason="there is no mosquitto")
def test_a_user_and_a_pass_word_from_a_private_file(tmp_path) -> None:
    """The right one gets in; a wrong one is told; a file that others can read is refused."""
    folder = tmp_path / "broker"
    folder.mkdir()
    words = folder / "words"
    # user reader, pass word "quiet river", as mosquitto_passwd of version 2 hashes it
    words.write_text(_hashed("reader", "quiet river"))
    running = Broker(folder, "allow_anonymous false", f"password_file {words}")
    try:
        secret = tmp_path / "secret"
        secret.write_text("quiet river\n")
        secret.chmod(0o600)
        lines = ('user = "reader"', 'password_file = "secret"')
        place = Place(tmp_path, broker_text(running.url, *lines))
        assert place.once().whole
        assert "hall: the pass word may cross the network in the clear" in place.said
        login = {"user": "reader", "password": "quiet river"}
        running.publish("works/W07/weld", [message(1)], **login)
        assert place.once().tally.rows == 1
        secret.write_text("loud river\n")
        text = place.file.read_text()
        place.file.write_text(f"give_up_after_s = 0.2\n{text}")
        refused = place.once()
        assert not refused.whole
        assert refused.sources[0][1].last_error == "the broker refuses: not authorized"
        assert "river" not in "".join(place.said)
        secret.chmod(0o640)
        with pytest.raises(InputErrors, match=r"collect\.toml.*can be read by others .mode 640."):
            place.once()
    finally:
        running.stop()


def _hashed(user, password):
    import base64
    import hashlib

    salt = b"invented-rod"
    made = hashlib.pbkdf2_hmac("sha512", password.encode(), salt, 101)
    return f"{user}:$7$101${base64.b64encode(salt).decode()}${base64.b64encode(made).decode()}\n"


def test_what_was_collected_is_taken_in_once(place, broker, tmp_path) -> None:
    """From the broker into link data by the map that the spool writes; a repeat adds nothing."""
    from linkwright.link_data.dataset import opened
    from linkwright.services.ingesting import IngestRequest, ingest

    broker.publish("works/W07/weld", [message(n) for n in range(40)])
    place.once()
    broker.publish("works/W07/weld", [message(n) for n in range(35, 50)])
    place.once()
    asked = IngestRequest((place.spool / "ready",), place.spool / "map.toml", tmp_path / "links")
    made = ingest(asked)
    assert not made.refused
    with opened(tmp_path / "links") as data:
        rows = data.sql("select counter, current_A from weld order by counter").fetchall()
    assert [counter for counter, _ in rows] == list(range(50))
    assert rows[0][1] == pytest.approx(8100.0)
    assert ingest(asked).to_dict()["rows"] == 0
