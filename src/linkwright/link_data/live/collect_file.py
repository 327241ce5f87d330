"""collect.toml: which servers and brokers are listened to, and which value is which column.

``read_collect(path)`` and ``collect_of_bytes(raw, name)`` give a `Collecting`, or raise
`InputErrors` with every problem of the file, its line and what would be accepted. Units stay
as the machine gives them: the map that goes with the spool names them, and ingest converts.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from linkwright.link_data.columns import KINDS, Column, Kind, kind
from linkwright.link_data.live.collect_faults import (
    reading_faults,
    server_faults,
    url_parts,
    whole_faults,
)
from linkwright.quantities import split, unit_of_text
from linkwright.works.reading import checked
from linkwright.works.table import Contradiction, Table, Text, number, same_twice
from linkwright.works.toml_file import TomlFile, read_toml, toml_of_bytes

KindName = Literal["weld", "harden", "temper", "pull", "gauge", "event", "wave", "passage"]
ClockForm = Literal["iso", "day.month.year", "month/day/year", "unix_s", "unix_ms", "unix_us"]
Long = Annotated[str, Field(min_length=1, max_length=300)]
LEAST_CLOSE_S, USUAL_CLOSE_S = 0.2, 60.0


class ServerTable(Table):
    """[[server]]: an OPC UA server or an MQTT broker."""

    name: Text = Field(description="name for messages", examples=["welders"])
    url: Long = Field(description="where it is", examples=["opc.tcp://192.0.2.7:4840"])
    client: Text | None = Field(
        None, description="fixed client id at a broker, which keeps messages under it"
    )
    user: Text | None = Field(None, description="user name; anonymous if left out")
    password_env: Text | None = Field(
        None, description="environment variable that holds the pass word"
    )
    password_file: Long | None = Field(
        None, description="file of mode 600 that holds the pass word"
    )
    authority_file: Long | None = Field(
        None, description="certificates that vouch for a broker at mqtts://"
    )
    security: Literal["none", "sign", "sign_and_encrypt"] = Field(
        "none", description="security of an OPC UA server, policy Basic256Sha256"
    )
    certificate_file: Long | None = Field(None, description="our own certificate")
    key_file: Long | None = Field(None, description="its private key, a file of mode 600")
    server_certificate_file: Long | None = Field(
        None, description="the certificate that the server must show"
    )

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """An address that cannot be used, keys of the other protocol, half a secret."""
        yield from server_faults(given)


class ColumnTable(Table):
    """[[reading.column]]: one column of ours and where its value comes from."""

    name: Text = Field(description="our column", examples=["current_A"])
    origin: Long | None = Field(
        None, alias="from", description="key in the message (weld.current), or node (ns=2;s=I)"
    )
    unit: Text | None = Field(None, description="unit of the machine; ours if left out")
    form: ClockForm | None = Field(None, description="how a clock is written; iso if left out")
    fresh: bool = Field(
        False, description="refuse a node's value that is older than the count before"
    )


class ReadingTable(Table):
    """[[reading]]: one kind of reading of one machine, or of machines alike."""

    name: Text = Field(description="begins the names of its files", examples=["weld-W07"])
    server: Text = Field(description="name of its [[server]]", examples=["welders"])
    kind: KindName = Field(description="kind of reading", examples=["weld"])
    machine: Text | None = Field(None, description="name of the machine", examples=["W07"])
    machine_from: Long | None = Field(None, description="key of the message that names it instead")
    machine_level: int | None = Field(
        None, ge=1, le=50, description="level of the topic, from 1, that names it instead"
    )
    topic: Long | None = Field(None, description="topic at a broker; + and # as usual")
    interval_s: float | None = number("time between two notices of an OPC UA server", 0.01, 60, 0.5)
    sampling_s: float | None = number("time between two looks of the server", 0, 60, 0.1)
    late_s: float | None = number("how much later than the count a value may be", 0, 60, 0.05)
    zone: Text = Field("UTC", description="zone of the clock where its text names none")
    repeated_hour: Literal["refuse", "earlier", "later"] = Field(
        "refuse", description="local times that stand twice when clocks go back"
    )
    column: list[ColumnTable] = Field(min_length=1, max_length=64, description="columns")

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """Columns that the kind does not have, twice, without origin, in a wrong unit."""
        yield from reading_faults(given, KINDS.get(str(given.get("kind"))))


class CollectFile(Table):
    """collect.toml as a whole."""

    format: Literal[1] = Field(1, description="version of this file format")
    close_after_s: float | None = number(
        "age at which a file is closed for ingest", LEAST_CLOSE_S, 86_400, USUAL_CLOSE_S
    )
    give_up_after_s: float | None = number(
        "time without success after which a server is given up; never if left out", 0.1, 1e7, 3600
    )
    server: list[ServerTable] = Field(min_length=1, max_length=50, description="servers, brokers")
    reading: list[ReadingTable] = Field(min_length=1, max_length=200, description="readings")

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """Names twice, readings of no server, keys of the other protocol."""
        for table in ("server", "reading"):
            yield from same_twice(given.get(table), "name", table)
        yield from whole_faults(given)


@dataclass(frozen=True)
class Server:
    """One server or broker; paths are full."""

    name: str
    scheme: str
    host: str
    port: int
    path: str
    client: str
    user: str | None
    password_env: str | None
    password_file: Path | None
    authority_file: Path | None
    security: str
    certificate_file: Path | None
    key_file: Path | None
    server_certificate_file: Path | None

    @property
    def url(self) -> str:
        """The address as people write it."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{self.scheme}://{host}:{self.port}{self.path}"


@dataclass(frozen=True)
class ColumnFrom:
    """A column of ours, where its value comes from, its unit, and its key in the spool."""

    column: Column
    origin: str
    unit: str
    form: str
    fresh: bool

    @property
    def key(self) -> str:
        """Our name with the machine's unit: what the spool says is what the machine said."""
        if self.unit == self.column.unit:
            return self.column.name
        return f"{split(self.column.name)[0]}_{self.unit}"


@dataclass(frozen=True)
class Reading:
    """One kind of reading of one machine, or of machines alike."""

    name: str
    server: str
    kind: Kind
    machine: str | None
    machine_from: str | None
    machine_level: int | None
    topic: str
    interval_s: float
    sampling_s: float
    late_s: float
    zone: str
    repeated_hour: str
    columns: tuple[ColumnFrom, ...]


@dataclass(frozen=True)
class Collecting:
    """The whole file."""

    name: str
    close_after_s: float
    give_up_after_s: float | None
    servers: tuple[Server, ...]
    readings: tuple[Reading, ...]

    def of(self, server: Server) -> tuple[Reading, ...]:
        """The readings of one server."""
        return tuple(one for one in self.readings if one.server == server.name)


def read_collect(path: str | os.PathLike[str]) -> Collecting:
    """Read a file; raises `InputErrors` with all that is wrong."""
    return _collecting(read_toml(path), Path(path).parent)


def collect_of_bytes(raw: bytes, name: str, folder: Path = Path()) -> Collecting:
    """Read the content of a file that lies in ``folder``; raises `InputErrors`."""
    return _collecting(toml_of_bytes(raw, name), folder)


def _collecting(file: TomlFile, folder: Path) -> Collecting:
    model = checked(file, CollectFile).model
    return Collecting(
        file.name, USUAL_CLOSE_S if model.close_after_s is None else model.close_after_s,
        model.give_up_after_s, tuple(_server(one, folder) for one in model.server),
        tuple(_reading(one) for one in model.reading),
    )  # fmt: skip


def _server(table: ServerTable, folder: Path) -> Server:
    parts = url_parts(table.url)

    def place(name: str | None) -> Path | None:
        return None if name is None else folder / name

    return Server(
        table.name, parts.scheme, parts.host, parts.port, parts.path, table.client or "",
        table.user, table.password_env, place(table.password_file), place(table.authority_file),
        table.security, place(table.certificate_file), place(table.key_file),
        place(table.server_certificate_file),
    )  # fmt: skip


def _reading(table: ReadingTable) -> Reading:
    of = kind(table.kind)
    return Reading(
        table.name, table.server, of, table.machine, table.machine_from, table.machine_level,
        table.topic or "", 0.5 if table.interval_s is None else table.interval_s,
        table.sampling_s or 0.0, table.late_s or 0.0, table.zone, table.repeated_hour,
        tuple(_column(one, of) for one in table.column),
    )  # fmt: skip


def _column(table: ColumnTable, of: Kind) -> ColumnFrom:
    column = of.column(table.name)
    unit = column.unit if table.unit is None else unit_of_text(table.unit)
    return ColumnFrom(column, table.origin or "", unit, table.form or "iso", table.fresh)
