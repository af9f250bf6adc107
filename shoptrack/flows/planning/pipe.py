"""Asks of the server → a worker process at low priority, which answers; it is begun and ended here."""

import pickle
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from threading import Lock, Thread
from typing import BinaryIO

from shoptrack.flows.planning.worker import Answer, Ask

START = (
    "import pickle, sys; sys.path[:] = pickle.load(sys.stdin.buffer); "
    "from shoptrack.flows.planning.worker import main; main()"
)
LOW = getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0)  # elsewhere the worker is nice by itself
END_WITHIN_S = 5.0


class Pipe:
    """A worker process. ``hear`` is called with each answer, by a thread of its own."""

    def __init__(self, hear: Callable[[Answer], None], code: str = START) -> None:
        self._hear = hear
        self._turn = Lock()
        self._process = subprocess.Popen(
            [sys.executable, "-c", code],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            creationflags=LOW,
        )
        self._send(sys.path)
        self._reader = Thread(target=self._listen, name="plans", daemon=True)
        self._reader.start()

    @property
    def pid(self) -> int:
        """The number of the process."""
        return self._process.pid

    @property
    def alive(self) -> bool:
        """Whether the process still runs."""
        return self._process.poll() is None

    def ask(self, ask: Ask) -> bool:
        """Send an ask down the pipe; False where nobody is there any more."""
        return self._send(ask)

    def end(self) -> None:
        """Close the pipe, at which the process ends, whatever it was at."""
        with self._turn, suppress(OSError):
            self._in.close()
        try:
            self._process.wait(END_WITHIN_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._reader.join()
        self._out.close()

    @property
    def _in(self) -> BinaryIO:
        assert self._process.stdin is not None
        return self._process.stdin  # type: ignore[return-value] # binary, as no encoding was asked for

    @property
    def _out(self) -> BinaryIO:
        assert self._process.stdout is not None
        return self._process.stdout  # type: ignore[return-value]

    def _send(self, what: object) -> bool:
        try:
            with self._turn:
                pickle.dump(what, self._in, pickle.HIGHEST_PROTOCOL)
                self._in.flush()
        except (OSError, ValueError):  # it died, or it was closed
            return False
        return True

    def _listen(self) -> None:
        with suppress(EOFError, OSError, ValueError, pickle.UnpicklingError):
            while True:
                self._hear(pickle.load(self._out))
