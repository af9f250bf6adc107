"""The machine's network cards to the addresses and names that a tablet can reach it by."""

import socket
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass

from shoptrack.config import Config, is_loopback

EVERYWHERE = ("0.0.0.0", "::")
# none is ever sent to: connecting a datagram socket only makes the system choose the card it would use
_TOWARDS = ("192.0.2.1", "10.255.255.254", "172.31.255.254", "192.168.255.254", "2001:db8::1")


@dataclass(frozen=True, slots=True)
class Reach:
    """Addresses, the likeliest first, and names; loopback is in neither."""

    addresses: tuple[str, ...] = ()
    names: tuple[str, ...] = ()

    def hosts(self) -> tuple[str, ...]:
        """All of them as they stand in an address line."""
        return (*(bracketed(a) for a in self.addresses), *self.names)


def look() -> Reach:
    """The addresses and names of this machine as they are now; empty where it is on no network."""
    found = dict.fromkeys(a for target in _TOWARDS if (a := _towards(target)) and not is_loopback(a))
    return Reach(tuple(sorted(found, key=lambda a: ":" in a)), names_of(socket.gethostname()))


def names_of(machine: str) -> tuple[str, ...]:
    """What a machine's own name is called by on the shop's network: as it is, and as .local."""
    name = machine.strip().lower().rstrip(".")
    if not name or name.partition(".")[0] == "localhost" or not _is_host_name(name):
        return ()
    label = name.partition(".")[0]
    return tuple(dict.fromkeys((f"{label}.local", label, name)))


def bracketed(host: str) -> str:
    """A host as it stands in an address line."""
    return f"[{host}]" if ":" in host else host


class Watch:
    """Looks again at most every few seconds. ``tick`` gives seconds that only rise."""

    def __init__(
        self, tick: Callable[[], float], look: Callable[[], Reach] = look, every_s: float = 10.0
    ) -> None:
        self._tick, self._look, self._every_s = tick, look, every_s
        self._seen: tuple[float, Reach] | None = None

    def reach(self) -> Reach:
        """How this machine can be reached, as it was some seconds ago at most."""
        at = self._tick()
        if self._seen is None or at - self._seen[0] >= self._every_s:
            self._seen = (at, self._look())
        return self._seen[1]


def listen_on(host: str) -> Iterator[str]:
    """Where to listen so that a host's address is answered: itself, and this machine's own in any case."""
    yield host
    if not (is_loopback(host) or host in EVERYWHERE):
        yield "127.0.0.1"


def _towards(target: str) -> str | None:
    family = socket.AF_INET6 if ":" in target else socket.AF_INET
    with closing(socket.socket(family, socket.SOCK_DGRAM)) as probe:
        try:
            probe.connect((target, 9))
            return str(probe.getsockname()[0]).partition("%")[0]
        except OSError:
            return None


def _is_host_name(name: str) -> bool:
    return all(p and p.isascii() and p.replace("-", "").isalnum() for p in name.split("."))


def tablet_addresses(config: Config, reach: Reach) -> tuple[str, ...]:
    """The whole addresses that tablets open the shop at, the likeliest first; https where there is any.

    Empty where the server is for this machine alone, or this machine is on no network.
    """
    if not config.lan:
        return ()
    own = () if config.host in EVERYWHERE else (bracketed(config.host),)
    hosts = (*own, *reach.names) if own else reach.hosts()
    return tuple(whole_address(config, host) for host in dict.fromkeys(hosts))


def whole_address(config: Config, host: str) -> str:
    """A host with the scheme and the port that tablets use, as a browser writes it."""
    scheme, port = ("http", config.port) if config.https_port is None else ("https", config.https_port)
    usual = {"http": 80, "https": 443}[scheme]
    return f"{scheme}://{host}" + (f":{port}" if port != usual else "")
