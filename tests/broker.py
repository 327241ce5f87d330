"""A broker for tests: a mosquitto of its own on a free loopback port, gone afterwards.

`Broker` starts, stops in order (its sessions are kept on the disk), and starts again on the same
port; `program` is where it is installed, or None.
"""

from __future__ import annotations

import json
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

_LONGEST_S = 10.0


def program() -> str | None:
    """Where the broker is installed; Debian keeps it in sbin."""
    return shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin:/usr/local/sbin")


def free_port() -> int:
    """A loopback port that nobody has."""
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return int(held.getsockname()[1])


class Broker:
    """One broker with sessions that outlive it."""

    def __init__(self, folder: Path, *more: str) -> None:
        self.folder, self.port = folder, free_port()
        self._more = more or ("allow_anonymous true",)
        self._process: subprocess.Popen[bytes] | None = None
        self.start()

    @property
    def url(self) -> str:
        """Its address."""
        return f"mqtt://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        lines = [f"listener {self.port} 127.0.0.1", "persistence true",
                 f"persistence_location {self.folder}/", "user root", "max_queued_messages 0",
                 *self._more]  # fmt: skip
        config = self.folder / "broker.conf"
        config.write_text("\n".join(lines) + "\n")
        name = program()
        assert name is not None
        with (self.folder / "broker.log").open("ab") as log:
            self._process = subprocess.Popen(  # noqa: S603
                [name, "-c", str(config)], stdout=log, stderr=log
            )
        until = time.monotonic() + _LONGEST_S
        while time.monotonic() < until and self._process.poll() is None:
            try:
                socket.create_connection(("127.0.0.1", self.port), 1.0).close()
            except OSError:
                time.sleep(0.01)
            else:
                return
        raise RuntimeError(f"no broker came up: {(self.folder / 'broker.log').read_text()}")

    def stop(self) -> None:
        """Stop it in order."""
        if self._process is not None:
            self._process.send_signal(signal.SIGTERM)
            try:
                self._process.wait(_LONGEST_S)
            except subprocess.TimeoutExpired:
                self._process.kill()
                self._process.wait()
            self._process = None

    def publisher(self, user: str | None = None, password: str | None = None) -> mqtt.Client:
        """A connected client that publishes; the caller stops its loop."""
        made = mqtt.Client(CallbackAPIVersion.VERSION2)
        if user is not None:
            made.username_pw_set(user, password)
        made.connect("127.0.0.1", self.port)
        made.loop_start()
        return made

    def publish(self, topic: str, payloads: Iterable[Any], **login: str) -> None:
        """Publish, and wait until the broker has all of it."""
        client = self.publisher(**login)
        sent = []
        for one in payloads:
            raw = one if isinstance(one, (bytes, str)) else json.dumps(one)
            sent.append(client.publish(topic, raw, qos=1))
        for one in sent:
            one.wait_for_publish(_LONGEST_S)
        client.disconnect()
        client.loop_stop()
