"""The real server as a process: started, found by its port, killed and started again."""

import os
import signal
import socket
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Engine, create_engine, text

ROOT = Path(__file__).parents[2]
PATIENCE_S = 30.0


def free_port() -> int:
    with closing(socket.socket()) as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def wait_for(what: str, true: object, seconds: float = PATIENCE_S) -> None:
    """Ask again and again until ``true()`` is; AssertionError after the deadline."""
    until = time.monotonic() + seconds
    while not true():  # type: ignore[operator]
        if time.monotonic() > until:
            raise AssertionError(f"not within {seconds:g} s: {what}")
        time.sleep(0.02)  # a pause between looks, not a guess: the deadline above decides


@dataclass
class Served:
    """One instance and the process that serves it."""

    instance: Path
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | None = None
    ways: tuple[str, ...] = ()  # "lan" has tablets paired, "https" serves by that too

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def lan_address(self) -> str:
        """The same server by a name that a browser does not trust: what a tablet in a shop sees."""
        return f"http://shop.test:{self.port}"

    @property
    def safe_address(self) -> str:
        return f"https://127.0.0.1:{self.port + 1}"

    def start(self) -> None:
        env = {**os.environ, "SHOPTRACK_INSTANCE": str(self.instance)}
        env.pop("SHOPTRACK_DATABASE_URL", None)
        out = (self.instance / "serve.log").open("ab")
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.browser.serve", str(self.port), *self.ways],
            cwd=ROOT,
            env=env,
            stdout=out,
            stderr=out,
        )
        out.close()
        wait_for("the server answers", self._answers)

    def _answers(self) -> bool:
        assert self.process is not None
        if self.process.poll() is not None:
            raise AssertionError((self.instance / "serve.log").read_text()[-3000:])
        with closing(socket.socket()) as ask:
            ask.settimeout(1)
            if ask.connect_ex(("127.0.0.1", self.port)):
                return False
            ask.sendall(b"GET /bench HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n")
            try:
                return ask.recv(12)[9:12] in (b"200", b"303")  # 303: to the guided start
            except OSError:
                return False

    def kill(self) -> None:
        """As when the plug is pulled."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()

    def stop(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.terminate()
            self.process.wait()

    def dies_before_the_next_answer(self) -> None:
        (self.instance / "die").touch()

    @property
    def dead(self) -> bool:
        return self.process is None or self.process.poll() is not None

    def rows(self, sql: str, **values: object) -> list[tuple[object, ...]]:
        """What the database file says, read beside the server."""
        engine: Engine = create_engine(f"sqlite:///{self.instance / 'shop.db'}")
        try:
            with engine.connect() as connection:
                connection.exec_driver_sql("PRAGMA wal_autocheckpoint=0")
                return [tuple(row) for row in connection.execute(text(sql), values)]
        finally:
            engine.dispose()

    def change(self, sql: str) -> None:
        """Change the file while no server has it."""
        engine = create_engine(f"sqlite:///{self.instance / 'shop.db'}")
        with engine.begin() as connection:
            connection.execute(text(sql))
        engine.dispose()

    def kinds(self) -> list[str]:
        """The kinds of the entries in the order in which they were written."""
        return [str(row[0]) for row in self.rows("SELECT kind FROM entries ORDER BY n")]
