"""Which names and addresses phones on the shop's own network reach this machine by."""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable
from dataclasses import dataclass

import ifaddr

LOOPBACK = "127.0.0.1"
# Ranges that no router passes on to the internet: RFC 1918, RFC 6598, RFC 3927, RFC 1122.
PRIVATE_NETWORKS = tuple(
    ipaddress.IPv4Network(one)
    for one in (
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "100.64.0.0/10",
        "169.254.0.0/16",
        "127.0.0.0/8",
    )
)
# Names that no registry gives away: RFC 6761, RFC 6762, RFC 8375, and what home routers add by themselves.
PRIVATE_ENDINGS = ("localhost", "local", "home.arpa", "internal", "lan")
LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How this machine is reached: addresses phones can use first, then names."""

    addresses: tuple[str, ...]
    names: tuple[str, ...]

    @property
    def best(self) -> str:
        """Return the address to put on paper: one that a phone reaches, else this machine only."""
        return self.addresses[0]

    @property
    def all(self) -> frozenset[str]:
        """Return every name and address."""
        return frozenset(self.addresses) | frozenset(self.names)


def is_private(address: str) -> bool:
    """Tell an IPv4 address of a shop's own network, for which alone the authority may speak."""
    try:
        found = ipaddress.IPv4Address(address)
    except ValueError:
        return False
    return any(found in network for network in PRIVATE_NETWORKS)


def reach_of(*, addresses: Iterable[str], host_name: str) -> Reach:
    """Sort out what a certificate may name: private addresses, real ones first, and private names."""
    private = sorted({one for one in addresses if is_private(one)} | {LOOPBACK}, key=_worth)
    host = host_name.lower().split(".", maxsplit=1)[0]
    names = ["localhost"]
    if LABEL.fullmatch(host) and host != "localhost":
        names.append(f"{host}.local")
    full = host_name.lower().rstrip(".")
    if full.endswith(tuple("." + ending for ending in PRIVATE_ENDINGS)) and full not in names:
        names.append(full)
    return Reach(addresses=tuple(private), names=tuple(names))


def _worth(address: str) -> tuple[int, ipaddress.IPv4Address]:
    """Order addresses: the router's, then those a machine gives itself, then this machine's own."""
    found = ipaddress.IPv4Address(address)
    return (2 if found.is_loopback else 1 if found.is_link_local else 0, found)


def present_reach() -> Reach:
    """Look at this machine's network cards now."""
    found = [str(ip.ip) for card in ifaddr.get_adapters() for ip in card.ips if ip.is_IPv4]
    return reach_of(addresses=found, host_name=socket.gethostname())
