"""A host, a port and an app to servers that answer: http, and https beside it where that is wanted."""

import socket
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from cheroot import wsgi
from cheroot.ssl.builtin import BuiltinSSLAdapter

from shoptrack.config import Config, is_loopback
from shoptrack.errors import Refused
from shoptrack.store import certificates
from shoptrack.store.addresses import EVERYWHERE, Reach, bracketed, listen_on, look
from shoptrack.store.certificates import Certificates

LAST_PORT = 65535
LOOK_EVERY_S = 60.0
OWN = ("127.0.0.1", "::1", "localhost")
SECURE = {"wsgi.url_scheme": "https", "HTTPS": "on"}


class LaterHandshake(BuiltinSSLAdapter):
    """https whose handshake is made by the thread that answers: one slow tablet holds up no other."""

    def wrap(self, sock: socket.socket) -> tuple[socket.socket, dict[str, str]]:
        """The socket as one that begins in secret, with what a request is told of it."""
        wrapped = self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False)
        return wrapped, dict(SECURE)


@dataclass(frozen=True, slots=True)
class Servers:
    """Servers whose ports are taken; the first is the one that the others end with."""

    plain: tuple[wsgi.Server, ...]
    secret: tuple[wsgi.Server, ...] = ()

    @property
    def port(self) -> int:
        """The port of the pages by http."""
        return int(self.plain[0].bind_addr[1])

    @property
    def https_port(self) -> int | None:
        """The port of the pages by https, where there is one."""
        return int(self.secret[0].bind_addr[1]) if self.secret else None

    def answer_with(self, app: Callable[..., Any]) -> None:
        """Say who answers; before ``serve``."""
        for server in (*self.plain, *self.secret):
            server.wsgi_app = app

    def serve(self) -> None:
        """Answer until stopped or interrupted; the first server in this thread, the others beside it."""
        first, *others = (*self.plain, *self.secret)
        beside = [threading.Thread(target=server.serve, daemon=True) for server in others]
        for thread in beside:
            thread.start()
        try:
            first.serve()
        finally:
            self.stop()
            for thread in beside:
                thread.join()

    def stop(self) -> None:
        """Answer no more."""
        for server in (*self.plain, *self.secret):
            server.stop()


def on_network(config: Config) -> Config:
    """The settings of a server that the shop's tablets can reach: all of this machine's addresses."""
    return config if config.lan else replace(config, host="0.0.0.0")


def own_host(config: Config) -> str:
    """Where this machine itself opens the pages, which needs no pairing."""
    return bracketed(config.host) if is_loopback(config.host) else "127.0.0.1"


@contextmanager
def listening(config: Config, renewer: "Renewer | None" = None) -> Iterator[Servers]:
    """Servers whose ports are taken but that answer nobody yet; with a renewer https too, on the next port.

    Raises Refused where a port is in use.
    """
    with ExitStack() as stack:
        plain = [_server(stack, host, config.port) for host in listen_on(config.host)]
        secret: list[wsgi.Server] = []
        if renewer is not None:
            renewer.look()
            port = config.port + 1 if config.port else 0
            secret = [_server(stack, host, port, renewer.files) for host in listen_on(config.host)]
            stack.enter_context(renewer.looking_after(secret))
        yield Servers(tuple(plain), tuple(secret))


def _server(stack: ExitStack, host: str, port: int, files: Certificates | None = None) -> wsgi.Server:
    _try_port(host, port)
    server = wsgi.Server((host, port), None, server_name="shoptrack")
    if files is not None:
        server.ssl_adapter = LaterHandshake(str(files.server), str(files.server_key))
    server.prepare()
    stack.callback(server.stop)
    return server


def _try_port(host: str, port: int) -> None:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    taken = Refused(f"Port {port} on {host} is in use or not allowed; choose another with --port.")
    if port > LAST_PORT:  # of https, which is the one after that of http
        raise taken
    try:
        socket.create_server((host, port), family=family).close()
    except OSError as problem:
        raise taken from problem


def hosts_of(config: Config, reach: Reach) -> tuple[str, ...]:
    """All that the server's certificate is made out to."""
    own = () if config.host in EVERYWHERE else (config.host,)
    return tuple(dict.fromkeys((*reach.addresses, *reach.names, *own, *OWN)))


class Renewer:
    """Keeps the certificate good while the server runs: when it nears its end, and when addresses change."""

    def __init__(
        self,
        config: Config,
        clock: Callable[[], datetime],
        reach: Callable[[], Reach] = look,
        every: timedelta = timedelta(seconds=LOOK_EVERY_S),
    ) -> None:
        self.files = certificates.in_instance(config.instance)
        self._config, self._clock, self._reach, self._every = config, clock, reach, every
        self._stop = threading.Event()
        self._servers: tuple[wsgi.Server, ...] = ()

    def look(self) -> bool:
        """Make a new certificate where one is due and show it from the next visit on; whether it was."""
        due = certificates.see_to(self.files, hosts_of(self._config, self._reach()), self._clock())
        if due:
            for server in self._servers:
                server.ssl_adapter.context.load_cert_chain(str(self.files.server), str(self.files.server_key))
        return due

    @contextmanager
    def looking_after(self, servers: Sequence[wsgi.Server]) -> Iterator[None]:
        """Look now and then for these servers, as long as a block runs."""
        self._servers = tuple(servers)
        thread = threading.Thread(target=self._run, name="certificate", daemon=True)
        thread.start()
        try:
            yield
        finally:
            self._stop.set()
            thread.join()

    def _run(self) -> None:
        while not self._stop.wait(self._every.total_seconds()):
            with suppress(OSError):  # a full disk, say: the next look may find room
                self.look()
