"""An invented machine with an OPC UA server, as a process: `python opcua_machine.py PORT FOLDER`.

Lines of JSON on standard input are carried out in order, each answered by one line. ``write``:
list of [node, value, source time or null, status code]; ``read``: a node. Every node may be
written by anybody, so that a test can see that the collector does not. FOLDER, if it holds
server.der and server.pem, gives an endpoint that signs and encrypts, and a user.
"""

import asyncio
import datetime
import json
import sys
from pathlib import Path

from asyncua import Server, ua
from asyncua.crypto.permission_rules import User, UserRole
from asyncua.server.user_managers import UserManager

NAMES = {"Counter": 0, "Current": 0.0, "Force": 0.0, "Coil": "", "Bad": 0.0}


class Users(UserManager):
    """Anybody, or one user with a pass word."""

    def get_user(self, iserver, username=None, password=None, certificate=None):
        """The user, or None."""
        if username is None:
            return User(role=UserRole.Admin)
        right = username == "collector" and password == "quiet river"  # noqa: S105
        return User(role=UserRole.Admin, name=username) if right else None


async def main(port: int, folder: Path) -> None:
    """Serve until standard input ends."""
    safe = (folder / "server.der").exists()
    server = Server(user_manager=Users())
    await server.init()
    server.set_endpoint(f"opc.tcp://127.0.0.1:{port}/machine")
    policies = [ua.SecurityPolicyType.NoSecurity]
    if safe:
        policies.append(ua.SecurityPolicyType.Basic256Sha256_SignAndEncrypt)
        await server.load_certificate(str(folder / "server.der"))
        await server.load_private_key(str(folder / "server.pem"))
    server.set_security_policy(policies)
    await server.register_namespace("urn:invented:machine")
    place = await server.nodes.objects.add_object(ua.NodeId("W", 2), "2:W")
    nodes = {}
    for name, value in NAMES.items():
        kind = {int: ua.VariantType.Int64, float: ua.VariantType.Double}.get(type(value))
        nodes[name] = await place.add_variable(ua.NodeId(f"W.{name}", 2), f"2:{name}", value, kind)
        await nodes[name].set_writable()
    async with server:
        print("ready", flush=True)
        loop = asyncio.get_running_loop()
        while line := await loop.run_in_executor(None, sys.stdin.readline):
            asked = json.loads(line)
            for name, value, moment, status in asked.get("write", ()):
                at = datetime.datetime.fromisoformat(moment) if moment else None
                kind = {int: ua.VariantType.Int64}.get(type(value))
                held = ua.DataValue(ua.Variant(value, kind), StatusCode=ua.StatusCode(status),
                                    SourceTimestamp=at)  # fmt: skip
                await nodes[name].write_attribute(ua.AttributeIds.Value, held)
            answer = await nodes[asked["read"]].read_value() if "read" in asked else "done"
            print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1]), Path(sys.argv[2])))
