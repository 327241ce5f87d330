"""What is wrong between the keys of collect.toml: rules that no single key can break.

`server_faults`, `reading_faults` and `whole_faults` give `Contradiction`s for one table each;
`url_parts` takes an address apart.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple
from urllib.parse import urlsplit

from linkwright.link_data.columns import MACHINE_NAME, ORIGIN, Kind
from linkwright.link_data.map_faults import unit_faults, zone_faults
from linkwright.quantities import nearest
from linkwright.works.table import Contradiction
from linkwright.works.toml_file import printable

PORTS = {"opc.tcp": 4840, "mqtt": 1883, "mqtts": 8883}
"""The schemes of addresses and their usual ports."""
_NODE = re.compile(r"(ns=[0-9]{1,5};)?(i=[0-9]{1,10}|[sgb]=\S(.*\S)?)")
_HOST = re.compile(r"[A-Za-z0-9:.-]{1,253}")
_SHOWN_URLS = "opc.tcp://host:4840, mqtt://host:1883, mqtts://host:8883"
_OF_BROKERS = ("client", "authority_file")
_OF_OPCUA = ("security", "certificate_file", "key_file", "server_certificate_file")
_SAFE = ("certificate_file", "key_file", "server_certificate_file")


class Url(NamedTuple):
    """The parts of an address."""

    scheme: str
    host: str
    port: int
    path: str


def url_parts(text: str) -> Url:
    """An address taken apart; raises ValueError with what is wrong.

    >>> url_parts("mqtt://broker.hall")
    Url(scheme='mqtt', host='broker.hall', port=1883, path='')
    """
    parts = urlsplit(text)
    if parts.scheme not in PORTS:
        raise ValueError("is no address of a server or broker")
    if parts.username is not None or parts.password is not None:
        raise ValueError("holds a user or a pass word")
    if not parts.hostname or not _HOST.fullmatch(parts.hostname):
        raise ValueError("names no host")
    if parts.query or parts.fragment or (parts.path not in ("", "/") and parts.scheme[0] == "m"):
        raise ValueError("has more than host and port")
    port = PORTS[parts.scheme] if parts.port is None else parts.port
    if not port:
        raise ValueError("has the port 0")
    return Url(parts.scheme, parts.hostname, port, parts.path if parts.path != "/" else "")


def server_faults(given: Mapping[str, Any]) -> Iterator[Contradiction]:
    """An address that cannot be used, keys of the other protocol, half a secret."""
    scheme = _scheme(given)
    if isinstance(given.get("url"), str) and not scheme:
        yield Contradiction(("url",), _why_not(given["url"]), _SHOWN_URLS)
    secrets = [key for key in ("password_env", "password_file") if key in given]
    if len(secrets) == 2:
        yield Contradiction(("password_file",), "is a second place of the pass word", "one of them")
    if secrets and "user" not in given:
        yield Contradiction((secrets[0],), "belongs to a user", 'user = "..." too')
    if "user" in given and not secrets:
        words = "has no pass word"
        yield Contradiction(("user",), words, "password_env or password_file too")
    if not scheme:
        return
    opcua = scheme == "opc.tcp"
    for key in _OF_BROKERS if opcua else _OF_OPCUA:
        if key in given:
            other = "a broker" if opcua else "an OPC UA server"
            yield Contradiction((key,), f"belongs to {other}", f"no {key}")
    if not opcua and "client" not in given:
        words = "is missing: a broker keeps messages under it"
        yield Contradiction(("client",), words, 'client = "collector-hall-1"')
    if "authority_file" in given and scheme == "mqtt":
        yield Contradiction(("authority_file",), "belongs to mqtts://", "an address mqtts://")
    safe = given.get("security", "none") != "none"
    for key in _SAFE if opcua else ():
        if safe and key not in given:
            yield Contradiction((key,), "is missing", f'{key} = "..." with this security')
        elif not safe and key in given:
            yield Contradiction((key,), "is of no use", 'security = "sign_and_encrypt"')


def reading_faults(given: Mapping[str, Any], of: Kind | None) -> Iterator[Contradiction]:
    """Names and columns that cannot be used, and a machine that is not told."""
    name = given.get("name")
    if isinstance(name, str) and not MACHINE_NAME.fullmatch(name):
        words = f"'{printable(name)}' cannot begin the name of a file"
        yield Contradiction(("name",), words, "letters, digits, _ . - such as weld-W07")
    told = [key for key in ("machine", "machine_from", "machine_level") if key in given]
    if len(told) != 1:
        words = "is told twice" if told else "is not told"
        accepted = "one of machine, machine_from, machine_level"
        yield Contradiction((told[1] if told else "machine",), f"the machine {words}", accepted)
    machine = given.get("machine")
    if isinstance(machine, str) and not MACHINE_NAME.fullmatch(machine):
        words = f"'{printable(machine)}' cannot be the name of a machine"
        yield Contradiction(("machine",), words, "letters, digits, _ . - such as W07")
    yield from zone_faults(given)
    topic = given.get("topic")
    if isinstance(topic, str) and (wrong := _topic_fault(topic)):
        yield Contradiction(("topic",), wrong, "such as works/W07/weld, works/+/weld, works/#")
    rows = given.get("column")
    if of is None or not isinstance(rows, list):
        return
    seen: set[str] = set()
    for place, row in enumerate(rows):
        if isinstance(row, dict) and isinstance(row.get("name"), str):
            yield from _column_faults(row, of, ("column", place), seen)
    if "counter" not in seen:
        words = "no [[reading.column]] is called counter"
        yield Contradiction(("column",), words, "the machine's own running number")


def whole_faults(given: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Readings of no server, and keys of the other protocol."""
    servers = {one["name"]: _scheme(one) for one in _tables(given.get("server"))
               if isinstance(one.get("name"), str)}  # fmt: skip
    for place, reading in enumerate(given.get("reading") or ()):
        name = reading.get("server") if isinstance(reading, dict) else None
        if not isinstance(name, str):
            continue
        if name not in servers:
            words = f"no [[server]] is called '{printable(name)}'"
            yield Contradiction(("reading", place, "server"), words, ", ".join(servers))
        elif servers[name] == "opc.tcp":
            yield from _of_opcua(reading, place)
        elif servers[name]:
            yield from _of_broker(reading, place)


def _of_opcua(reading: Mapping[str, Any], place: int) -> Iterator[Contradiction]:
    for key in ("topic", "machine_from", "machine_level"):
        if key in reading:
            words = "belongs to a broker"
            yield Contradiction(("reading", place, key), words, 'machine = "..." and nodes')
    for at, row in enumerate(_tables(reading.get("column"))):
        origin = row.get("from")
        if isinstance(origin, str) and not _NODE.fullmatch(origin):
            words = f"'{printable(origin)}' is no node"
            accepted = "ns=2;s=Weld.Current, ns=3;i=1001"
            yield Contradiction(("reading", place, "column", at, "from"), words, accepted)


def _of_broker(reading: Mapping[str, Any], place: int) -> Iterator[Contradiction]:
    if "topic" not in reading:
        yield Contradiction(("reading", place, "topic"), "is missing", 'topic = "works/W07/weld"')
    for key in ("interval_s", "sampling_s", "late_s", "interval", "sampling", "late"):
        if key in reading:
            words = "belongs to an OPC UA server"
            yield Contradiction(("reading", place, key), words, f"no {key}")
    rows = list(_tables(reading.get("column")))
    for at, row in enumerate(rows):
        if row.get("fresh"):
            words = "belongs to a node"
            yield Contradiction(("reading", place, "column", at, "fresh"), words, "no fresh")
    if rows and not any(row.get("name") == "clock" for row in rows):
        words = "no [[reading.column]] is called clock"
        accepted = "the machine's time in the message"
        yield Contradiction(("reading", place, "column"), words, accepted)


def _column_faults(
    row: Mapping[str, Any], of: Kind, path: tuple[str, int], seen: set[str]
) -> Iterator[Contradiction]:
    name = row["name"]
    allowed = [one for one in of.names if one not in (*ORIGIN, "machine")]
    if name not in allowed:
        words = f"'{printable(name)}' is no column of {of.name}"
        if name == "machine":
            words = "the machine stands in [[reading]]"
        yield Contradiction((*path, "name"), words, ", ".join(nearest(name, allowed) or allowed))
        return
    if name in seen:
        yield Contradiction((*path, "name"), f"{name} stands twice", "each column once")
    seen.add(name)
    if "from" not in row:
        yield Contradiction((*path, "from"), "is missing", "a key of the message, or a node")
    column = of.column(name)
    if "form" in row and column.form != "clock":
        yield Contradiction((*path, "form"), "belongs to the clock", "no form")
    if "unit" in row:
        yield from unit_faults(row["unit"], column, path)


def _topic_fault(topic: str) -> str:
    levels = topic.split("/")
    if any("+" in one and one != "+" for one in levels):
        return "has a + beside other signs of its level"
    if any("#" in one and one != "#" for one in levels) or "#" in levels[:-1]:
        return "has a # that is not its last level"
    return "" if topic.isprintable() else "holds signs that cannot be seen"


def _scheme(given: Mapping[str, Any]) -> str:
    try:
        return url_parts(str(given.get("url"))).scheme
    except ValueError:
        return ""


def _why_not(url: str) -> str:
    try:
        url_parts(url)
    except ValueError as error:
        # never the address itself: it may hold a pass word
        return f"this address {error}" if "Port" not in str(error) else "has no usable port"
    return ""


def _tables(rows: Any) -> Iterator[Mapping[str, Any]]:
    for row in rows if isinstance(rows, list) else ():
        yield row if isinstance(row, dict) else {}
