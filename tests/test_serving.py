"""Servers on loopback: http and https side by side, by a certificate that a client checks."""

import socket
import ssl
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from shoptrack.config import Config
from shoptrack.errors import Refused
from shoptrack.serving import Renewer, Servers, hosts_of, listening, on_network, own_host
from shoptrack.store.addresses import Reach

NOW = datetime.now(UTC)  # noqa: TID251 # the client checks the certificate by the machine's own clock


def app(environ: dict[str, str], start: object) -> list[bytes]:
    start("200 OK", [("Content-Type", "text/plain")])  # type: ignore[operator]
    return [f"{environ['wsgi.url_scheme']} {environ['REMOTE_ADDR']}".encode()]


def config(folder: Path, host: str = "127.0.0.1", port: int = 0) -> Config:
    return Config(folder, "", host, port)


@contextmanager
def served(settings: Config, renewer: Renewer | None = None) -> Iterator[Servers]:
    with listening(settings, renewer) as servers:
        servers.answer_with(app)
        thread = threading.Thread(target=servers.serve)
        thread.start()
        try:
            yield servers
        finally:
            servers.stop()
            thread.join(20)
            assert not thread.is_alive()


def trusting(renewer: Renewer) -> ssl.SSLContext:
    """What a tablet does that trusts the shop's certificate and no other."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.load_verify_locations(cadata=renewer.files.own.read_bytes())
    return context


def ask(address: str, context: ssl.SSLContext | None = None) -> str:
    with urllib.request.urlopen(address, timeout=20, context=context) as answer:
        return str(answer.read().decode())


def renewer_of(folder: Path) -> Renewer:
    return Renewer(config(folder), lambda: NOW, Reach)


def test_http_alone(tmp_path: Path) -> None:
    with served(config(tmp_path)) as servers:
        assert ask(f"http://127.0.0.1:{servers.port}/") == "http 127.0.0.1"
        assert servers.https_port is None
    assert not (tmp_path / "certificates").exists()


def test_https_beside_it_by_a_certificate_that_is_checked(tmp_path: Path) -> None:
    renewer = renewer_of(tmp_path)
    with served(config(tmp_path), renewer) as servers:
        assert ask(f"http://127.0.0.1:{servers.port}/") == "http 127.0.0.1"
        for host in ("127.0.0.1", "localhost"):
            assert ask(f"https://{host}:{servers.https_port}/", trusting(renewer)) == "https 127.0.0.1"
        with pytest.raises(OSError, match="CERTIFICATE_VERIFY_FAILED"):
            ask(f"https://127.0.0.1:{servers.https_port}/", ssl.create_default_context())


def test_who_says_nothing_holds_up_nobody(tmp_path: Path) -> None:
    """A tablet opens a line and falls asleep before it says hello; another is answered meanwhile."""
    renewer = renewer_of(tmp_path)
    with served(config(tmp_path), renewer) as servers, closing(socket.socket()) as silent:
        assert servers.https_port is not None
        silent.connect(("127.0.0.1", servers.https_port))
        context = trusting(renewer)
        address = f"https://127.0.0.1:{servers.https_port}/"
        with urllib.request.urlopen(address, timeout=5, context=context) as answer:
            assert answer.status == 200


def test_a_new_certificate_is_shown_without_a_new_start(tmp_path: Path) -> None:
    """The router gave another address: the next visit finds a certificate that has it."""
    at = ["192.168.1.7"]
    renewer = Renewer(config(tmp_path), lambda: NOW, lambda: Reach((at[0],)))
    with served(config(tmp_path), renewer) as servers:
        assert servers.https_port is not None
        assert at[0] in shown_names(servers.https_port, renewer)
        assert not renewer.look()
        at[0] = "192.168.1.99"
        assert renewer.look()
        assert "192.168.1.99" in shown_names(servers.https_port, renewer)


def shown_names(port: int, renewer: Renewer) -> set[str]:
    context = trusting(renewer)
    with (
        socket.create_connection(("127.0.0.1", port), 20) as line,
        context.wrap_socket(line, server_hostname="127.0.0.1") as safe,
    ):
        shown = safe.getpeercert() or {}
        return {str(value) for _, value in shown["subjectAltName"]}  # type: ignore[misc]


def test_it_looks_by_itself_now_and_then(tmp_path: Path) -> None:
    looked = threading.Event()

    def reach() -> Reach:
        if threading.current_thread().name == "certificate":
            looked.set()
        return Reach()

    renewer = Renewer(config(tmp_path), lambda: NOW, reach, every=timedelta(milliseconds=1))
    with served(config(tmp_path), renewer):
        assert looked.wait(20)


def test_a_taken_port_is_refused_in_one_sentence(tmp_path: Path) -> None:
    with closing(socket.create_server(("127.0.0.1", 0))) as taken:
        port = taken.getsockname()[1]
        with (
            pytest.raises(Refused, match="choose another with --port"),
            listening(config(tmp_path, port=port)),
        ):
            pass


def test_after_the_last_port_there_is_none_for_https(tmp_path: Path) -> None:
    with (
        pytest.raises(Refused, match="choose another with --port"),
        listening(config(tmp_path, port=65535), renewer_of(tmp_path)),
    ):
        pass


def test_where_it_listens_and_where_it_is_opened(tmp_path: Path) -> None:
    alone = config(tmp_path)
    assert (on_network(alone).host, alone.lan, on_network(alone).lan) == ("0.0.0.0", False, True)
    chosen = config(tmp_path, "192.168.1.7")
    assert on_network(chosen) is chosen
    assert [own_host(c) for c in (alone, chosen, on_network(alone), config(tmp_path, "::1"))] == [
        "127.0.0.1",
        "127.0.0.1",
        "127.0.0.1",
        "[::1]",
    ]


def test_the_certificate_is_for_all_it_is_reached_by(tmp_path: Path) -> None:
    reach = Reach(("192.168.1.7",), ("shop.local",))
    assert hosts_of(config(tmp_path, "0.0.0.0"), reach) == (
        "192.168.1.7",
        "shop.local",
        "127.0.0.1",
        "::1",
        "localhost",
    )
    assert "10.0.0.7" in hosts_of(config(tmp_path, "10.0.0.7"), reach)
