"""Where the server listens, and by which addresses pages reach it."""

from __future__ import annotations

import re
import socket
from dataclasses import dataclass

from ramstill.errors import InputError
from ramstill.live.security import host_of

LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9.-]{0,252}")  # a host's name (RFC 1123), or an IPv4 address
SENT_AHEAD = 65_536  # bytes the system keeps for a page that reads slowly: frames in it are old ones


@dataclass(frozen=True, slots=True)
class Place:
    """A listening socket, and what it is reached by.

    hosts: as Host headers name them, the one for the instructor first; learners: the address to hand out.
    """

    socket: socket.socket
    port: int
    hosts: tuple[str, ...]
    learners: str

    @property
    def on_network(self) -> bool:
        """Whether other machines reach it."""
        return bool(self.socket.getsockname()[0] != LOOPBACK)


def listen(port: int, on_network: bool, also: tuple[str, ...] = ()) -> Place:
    """Take a port (0: any that is free), on this machine alone or on its networks.

    also: further names or addresses by which learners reach this machine, the first of them for handing out.
    Raises InputError for a port that cannot be had, and for what is no name, or one on this machine alone.
    """
    if also and not on_network:
        raise InputError("--reached-as", "", f"{also[0]} without --on-network", "only beside --on-network")
    for name in also:
        if not _NAME.fullmatch(name):
            raise InputError("--reached-as", "", repr(name), "the name or IPv4 address of this machine")
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, SENT_AHEAD)
        taken.bind((EVERYWHERE if on_network else LOOPBACK, port))
        taken.listen(128)
    except (OSError, OverflowError) as error:
        taken.close()
        why = getattr(error, "strerror", None) or str(error)
        raise InputError("--port", "", f"{port} ({why})", "a free port, or 0 for any") from None
    got = int(taken.getsockname()[1])
    names = [LOOPBACK, "localhost"]
    if on_network:
        names += [*also, *addresses()]
    hosts = tuple(dict.fromkeys(host_of(name, got) for name in names))
    handed_out = names[2] if len(names) > 2 else LOOPBACK
    return Place(taken, got, hosts, f"http://{host_of(handed_out, got)}/")


def addresses() -> list[str]:
    """The addresses of this machine on its networks, the likeliest first; nothing is sent to find them."""
    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # of a block for documentation (RFC 5737): only the way is asked
            found.append(str(probe.getsockname()[0]))
        except OSError:
            pass  # no way out: a network of its own, or none
    try:
        own = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET, socket.SOCK_STREAM)
        found += [str(one[4][0]) for one in own]
    except OSError:
        pass
    return [one for one in dict.fromkeys(found) if not one.startswith(("127.", "0."))]
