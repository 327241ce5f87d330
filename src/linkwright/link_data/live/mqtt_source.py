"""A broker by MQTT 3.1.1: quality of service 1, confirmed by hand when it is on the disk.

The client id is fixed and the session is kept, so that the broker holds messages while nobody
listens. Each connection has a client of its own: a confirmation can never reach a message of
another connection that happens to carry the same number.
"""

from __future__ import annotations

import contextlib
import socket
import ssl
import threading
from collections.abc import Sequence
from typing import Any

from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

from linkwright.link_data.live.collect_file import Reading, Server
from linkwright.link_data.live.hosts import address_of
from linkwright.link_data.live.payload import meets, rows_of
from linkwright.link_data.live.retries import Failed
from linkwright.link_data.live.sources import (
    Arrival,
    Offer,
    Say,
    Signals,
    SourceState,
    now_text,
)

KEEPALIVE_S = 30
_CONNECT_S = 10.0
_ROOM_S = 5.0


class MqttSource:
    """One broker and the readings that come from it."""

    def __init__(
        self, server: Server, readings: Sequence[Reading], password: str | None,
        offer: Offer, signals: Signals, say: Say,
    ) -> None:  # fmt: skip
        self.server, self.state = server, SourceState()
        self._readings, self._password = readings, password
        self._offer, self._signals, self._say = offer, signals, say

    def session(self) -> bool:
        """One connection; see `Source`."""
        talk = _Talk(self)
        talk.connect(address_of(self.server.host, self.server.port))
        try:
            while not talk.ended.wait(0.05):
                if self._signals.stop.is_set():
                    self.state.quiet.set()
                    self._signals.close.wait()
                    return True
        finally:
            talk.part()
        if talk.refused:
            raise Failed(talk.refused)
        return False

    def client(self, address: str) -> mqtt.Client:
        """A client for one connection."""
        made = _Pinned(
            CallbackAPIVersion.VERSION2, self.server.client, clean_session=False,
            protocol=mqtt.MQTTv311, reconnect_on_failure=False, manual_ack=True,
        )  # fmt: skip
        made.address = address
        if self.server.user is not None:
            made.username_pw_set(self.server.user, self._password)
        if self.server.scheme == "mqtts":
            authority = self.server.authority_file
            made.tls_set(ca_certs=None if authority is None else str(authority))
        return made

    def topics(self) -> list[tuple[str, int]]:
        """What is subscribed to."""
        return [(one, 1) for one in dict.fromkeys(reading.topic for reading in self._readings)]

    def take(self, client: mqtt.Client, message: mqtt.MQTTMessage) -> bool:
        """Hand a message on; False if there was no room for it."""
        name = self.server.name
        wanted = [one for one in self._readings if meets(message.topic, one.topic)]
        rows, asides = rows_of(name, message.topic, bytes(message.payload), wanted, now_text())

        def confirm() -> None:
            client.ack(message.mid, message.qos)

        taken = self._offer(Arrival(rows, asides, confirm), _ROOM_S)
        if taken:
            self.state.rows += len(rows)
        else:
            self.state.dropped += message.qos == 0  # the broker holds the others
        return taken

    def say(self, text: str) -> None:
        """Tell people something of this broker."""
        self._say(f"{self.server.name}: {text}")

    def stopping(self) -> bool:
        """Whether nothing new is taken."""
        return self._signals.stop.is_set()


class _Pinned(mqtt.Client):
    """A client that connects to the address that was judged, and through no proxy.

    The host's name stays what it is, as the certificate of a broker is held against it.
    """

    address = ""

    def _create_socket_connection(self) -> socket.socket:
        return socket.create_connection((self.address, self.port), timeout=_CONNECT_S)


class _Talk:
    """One connection and what is heard on it."""

    def __init__(self, source: MqttSource) -> None:
        self._source = source
        self.ended, self._greeted = threading.Event(), threading.Event()
        self.refused = ""
        self._client: Any = None

    def connect(self, address: str) -> None:
        """Connect and subscribe; raises `Failed`."""
        client = self._source.client(address)
        client.on_connect, client.on_subscribe = self._on_connect, self._on_subscribe
        client.on_message, client.on_disconnect = self._on_message, self._on_disconnect
        server = self._source.server
        try:
            client.connect(server.host, server.port, KEEPALIVE_S)
        except ssl.SSLError as error:
            raise Failed(f"no safe connection: {error.reason or error}") from None
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error) or type(error).__name__
            raise Failed(f"no connection: {reason[:1].lower()}{reason[1:]}") from None
        self._client = client
        client.loop_start()
        if not self._greeted.wait(_CONNECT_S) or self.refused:
            self.part()
            raise Failed(self.refused or "the broker does not answer")

    def part(self) -> None:
        """Leave; what was confirmed before goes out first."""
        if self._client is not None:
            with contextlib.suppress(OSError, ValueError):
                self._client.disconnect()
            self._client.loop_stop()
            self._client = None

    def _on_connect(
        self, client: mqtt.Client, userdata: Any, flags: Any, reason: Any, properties: Any
    ) -> None:
        if reason.is_failure:
            self.refused = f"the broker refuses: {str(reason).lower()}"
            self._greeted.set()
            return
        client.subscribe(self._source.topics())

    def _on_subscribe(
        self, client: mqtt.Client, userdata: Any, mid: int, reasons: Any, properties: Any
    ) -> None:
        for (topic, _), reason in zip(self._source.topics(), reasons, strict=False):
            if reason.is_failure:
                self.refused = f"the broker refuses the topic {topic}"
            elif reason.value == 0:
                self._source.say(f"{topic}: the broker confirms nothing, messages may be lost")
        if not self.refused:
            self._source.state.connections += 1
        self._greeted.set()

    def _on_disconnect(
        self, client: mqtt.Client, userdata: Any, flags: Any, reason: Any, properties: Any
    ) -> None:
        self.ended.set()
        if not self._greeted.is_set():
            self.refused = "the broker ended the connection"
            self._greeted.set()

    def _on_message(self, client: mqtt.Client, userdata: Any, message: mqtt.MQTTMessage) -> None:
        if self._source.stopping() or self.ended.is_set():
            return  # not confirmed: it comes again
        if not self._source.take(client, message):
            self.ended.set()  # a new connection brings again what found no room
