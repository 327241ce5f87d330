"""The server that tests start: private, empty, gone afterwards."""

import stat

import psycopg
import pytest
from postgresql import Server


def test_a_database_is_empty_and_dropped_afterwards(server: Server) -> None:
    """Each test has a database of its own, which nobody reaches later."""
    with server.database() as url, psycopg.connect(url) as held:
        held.execute("CREATE TABLE t (a bigint)")
        assert held.execute("SELECT count(*) FROM t").fetchone() == (0,)
    with pytest.raises(psycopg.OperationalError, match="does not exist"):
        psycopg.connect(url)


def test_the_server_is_private(server: Server) -> None:
    """Nobody enters without the password, and nobody else reads the folder."""
    assert stat.S_IMODE(server.folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((server.folder / "data").stat().st_mode) == 0o700
    with pytest.raises(psycopg.OperationalError, match="password"):
        psycopg.connect(server.url().replace(server.password, "guess"))


def test_nothing_is_left_of_a_stopped_server() -> None:
    """Process and folder are gone."""
    other = Server()
    folder, port = other.folder, other.port
    other.stop()
    assert not folder.exists()
    with pytest.raises(psycopg.OperationalError):
        psycopg.connect(host="127.0.0.1", port=port, user="x", dbname="x", connect_timeout=2)
