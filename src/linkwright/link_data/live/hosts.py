"""Who may be spoken to: the hosts of the file, and of these no address that hides another.

`address_of` looks a name up and refuses link-local addresses (among them those at which hosts
of rented machines hand out their secrets), multicast, and addresses of no host. The connection
goes to the address that was judged: a second look-up could give another.
"""

from __future__ import annotations

import ipaddress
import socket

from linkwright.link_data.live.retries import Failed

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
# addresses outside the link-local range under which rented machines hand out secrets, from
# memory: no standard lists them
_HANDING_OUT = frozenset(
    ipaddress.ip_address(one) for one in ("fd00:ec2::254", "100.100.100.200", "192.0.0.192")
)


class Refused(Failed):
    """An address that is never spoken to."""


def address_of(host: str, port: int) -> str:
    """The address to connect to; raises `Failed` for a name that is not known, `Refused`."""
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Failed(f"the name {host} is not found: {reason}") from None
    addresses = [str(one[4][0]) for one in found]
    for text in addresses:
        wrong = fault_of(text)
        if wrong:
            raise Refused(f"{host} is {text}, {wrong}: it is never contacted")
    return addresses[0]


def fault_of(text: str) -> str:
    """Why an address is refused; "" for one that may be used.

    >>> fault_of("169.254.169.254"), fault_of("127.0.0.1")
    ('a link-local address', '')
    """
    address = ipaddress.ip_address(text.partition("%")[0])
    mapped = getattr(address, "ipv4_mapped", None)
    if mapped is not None:
        address = mapped
    if address.is_link_local:
        return "a link-local address"
    if address in _HANDING_OUT:
        return "an address that hands out secrets of rented machines"
    if address.is_multicast:
        return "a multicast address"
    if address.is_unspecified or address == ipaddress.ip_address("255.255.255.255"):
        return "no address of a host"
    if address.is_reserved:
        return "a reserved address"
    return ""
