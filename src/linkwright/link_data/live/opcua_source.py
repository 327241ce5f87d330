"""A server by OPC UA: subscriptions to nodes, and never anything but reading.

Every request passes `ReadOnly`, which lets through a closed list of services; writing, calling
methods and changing the address space are not in it. Values come with their source timestamp,
server timestamp and status code; `node_values` makes rows of them.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import time
from collections.abc import Sequence
from contextlib import AbstractContextManager
from typing import Any

from asyncua import ua
from asyncua.client.client import Client
from asyncua.client.ua_client import UaClientState
from asyncua.crypto.security_policies import SecurityPolicyBasic256Sha256
from asyncua.observer import Observer
from asyncua.ua.attribute_ids import AttributeIds
from asyncua.ua.uaerrors import UaError, UaStatusCodeError

from linkwright.link_data.live.collect_file import Reading, Server
from linkwright.link_data.live.hosts import address_of
from linkwright.link_data.live.node_values import Joining, Sample
from linkwright.link_data.live.retries import Failed
from linkwright.link_data.live.row import Row
from linkwright.link_data.live.sources import (
    Arrival,
    Offer,
    Say,
    Signals,
    SourceState,
    now_text,
)

SERVICES = frozenset({
    "GetEndpointsRequest", "CreateSessionRequest", "ActivateSessionRequest",
    "CloseSessionRequest", "ReadRequest", "CreateSubscriptionRequest",
    "ModifySubscriptionRequest", "CreateMonitoredItemsRequest", "DeleteMonitoredItemsRequest",
    "DeleteSubscriptionsRequest", "PublishRequest", "RepublishRequest",
})  # fmt: skip
"""The services that are asked of a server; none of them changes anything on the machine."""
QUEUE = 1000
"""Values of a node that the server is asked to hold between two notices."""
_TIMEOUT_S, _SESSION_MS, _TICK_S = 5.0, 60_000, 0.02
_FAULTS = (OSError, TimeoutError, asyncio.TimeoutError, UaError, ValueError)

# the package speaks through logging; what matters of it is told in sentences of our own
logging.getLogger("asyncua").addHandler(logging.NullHandler())


class NotReading(PermissionError):
    """A service that is not in the list; nothing was sent."""


class ReadOnly(Observer):
    """Lets no request through that is not in `SERVICES`."""

    def observe_request(self, request: Any) -> AbstractContextManager[None]:
        """Called with every request before it is sent."""
        name = type(request).__name__
        if name not in SERVICES:
            raise NotReading(f"{name} is never sent to a machine")
        return contextlib.nullcontext()


class OpcuaSource:
    """One server and the readings that come from it."""

    def __init__(
        self, server: Server, readings: Sequence[Reading], password: str | None,
        offer: Offer, signals: Signals, say: Say,
    ) -> None:  # fmt: skip
        self.server, self.state = server, SourceState()
        self._password = password
        self._offer, self._signals, self._say = offer, signals, say
        self._joined = [(one, Joining(one, server.name)) for one in readings]
        self._overflowed = False

    def session(self) -> bool:
        """One connection; see `Source`."""
        return asyncio.run(self._session())

    async def _session(self) -> bool:
        client = self.client(address_of(self.server.host, self.server.port))
        lived = False
        try:
            await self._secured(client)
            await client.connect()
            for reading, joining in self._joined:
                await self._subscribed(client, reading, joining)
            self.state.connections += 1
            lived = True
            return await self._listened(client)
        except _FAULTS as error:
            if lived:
                return False
            raise Failed(_sentence(error)) from None
        finally:
            await self._parted(client)

    async def _parted(self, client: Client) -> None:
        """Take leave of a server that is there; of one that is not, only the socket is left."""
        with contextlib.suppress(*_FAULTS):
            if client.state is UaClientState.CONNECTED:
                await client.disconnect()
            else:
                client.disconnect_socket()

    def client(self, address: str) -> Client:
        """A client that can only read."""
        host = f"[{address}]" if ":" in address else address
        made = Client(f"opc.tcp://{host}:{self.server.port}{self.server.path}", _TIMEOUT_S,
                      watchdog_intervall=_TIMEOUT_S)  # fmt: skip
        made.uaclient.observer = ReadOnly()
        made.name = made.description = "linkwright collect"
        made.application_uri, made.product_uri = "urn:linkwright:collect", "urn:linkwright"
        made.session_timeout = _SESSION_MS
        if self.server.user is not None:
            made.set_user(self.server.user)
            made.set_password(self._password or "")
        return made

    async def _secured(self, client: Client) -> None:
        server = self.server
        if server.security == "none":
            return
        modes = {"sign": ua.MessageSecurityMode.Sign,
                 "sign_and_encrypt": ua.MessageSecurityMode.SignAndEncrypt}  # fmt: skip
        await client.set_security(
            SecurityPolicyBasic256Sha256, str(server.certificate_file), str(server.key_file),
            server_certificate=str(server.server_certificate_file), mode=modes[server.security],
        )  # fmt: skip

    async def _subscribed(self, client: Client, reading: Reading, joining: Joining) -> None:
        names = {at: one.column.name for at, one in enumerate(reading.columns, 1)}
        told = _Told(joining, names, self._overflow)
        held = await client.create_subscription(1000.0 * reading.interval_s, told)
        items = [_item(at, one.origin, reading) for at, one in enumerate(reading.columns, 1)]
        answers = await held.create_monitored_items(items)
        again = [item for item, answer in zip(items, answers, strict=True) if _no_filter(answer)]
        for item in again:
            item.RequestedParameters.Filter = None
        late = await held.create_monitored_items(again) if again else []
        merged = iter(late)
        for one, answer in zip(reading.columns, answers, strict=True):
            last = next(merged) if _no_filter(answer) else answer
            if not isinstance(last, int):
                raise Failed(f"the node {one.origin} of {reading.name}: {last.name}")

    async def _listened(self, client: Client) -> bool:
        while True:
            await asyncio.sleep(_TICK_S)
            stop = self._signals.stop.is_set()
            self._hand_on(every=stop)
            if stop:
                self.state.quiet.set()
                return True
            if client.state is not UaClientState.CONNECTED:
                return False

    def _hand_on(self, *, every: bool) -> None:
        """Hand on the rows that are due; memory is bounded, so what finds no room is lost."""
        for _, joining in self._joined:
            made = joining.due(time.monotonic(), now_text, every=every)
            rows = [one for one in made if isinstance(one, Row)]
            asides = [one for one in made if not isinstance(one, Row)]
            if made and self._offer(Arrival(rows, asides, _nothing), 0.0):
                self.state.rows += len(rows)
            elif made:
                self.state.dropped += len(made)

    def _overflow(self) -> None:
        if not self._overflowed:
            self._overflowed = True
            self._say(f"{self.server.name}: the server dropped values; a shorter interval_s helps")


class _Told:
    """Hands what the server tells to the joining."""

    def __init__(self, joining: Joining, names: dict[int, str], overflow: Any) -> None:
        self._joining, self._names, self._overflow = joining, names, overflow

    def datachange_notification(self, node: Any, value: Any, data: Any) -> None:
        """Called for every value."""
        told = data.monitored_item.Value
        code = told.StatusCode
        sample = Sample(value, code.value, code.name, told.SourceTimestamp, told.ServerTimestamp)
        if sample.overflowed:
            self._overflow()
        name = self._names[data.subscription_data.client_handle]
        self._joining.add(name, sample, time.monotonic())


def _item(handle: int, node: str, reading: Reading) -> ua.MonitoredItemCreateRequest:
    made = ua.MonitoredItemCreateRequest()
    made.ItemToMonitor.NodeId = ua.NodeId.from_string(node)
    made.ItemToMonitor.AttributeId = AttributeIds.Value
    made.MonitoringMode = ua.MonitoringMode.Reporting
    wanted = ua.MonitoringParameters()
    wanted.ClientHandle = handle
    wanted.SamplingInterval = 1000.0 * reading.sampling_s
    wanted.QueueSize, wanted.DiscardOldest = QUEUE, True
    # a value that is written again unchanged is told too, with its new time
    wanted.Filter = ua.DataChangeFilter(Trigger=ua.DataChangeTrigger.StatusValueTimestamp)
    made.RequestedParameters = wanted
    return made


def _no_filter(answer: Any) -> bool:
    return not isinstance(answer, int) and "Filter" in answer.name


def _sentence(error: BaseException) -> str:
    if isinstance(error, UaStatusCodeError):
        return f"the server refuses: {ua.StatusCode(error.code).name}"
    if isinstance(error, (TimeoutError, asyncio.TimeoutError)):
        return "the server does not answer"
    reason = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return f"no connection: {reason[:1].lower()}{reason[1:]}"


def _nothing() -> None:
    """A server is owed no confirmation."""
