"""A program file on stdin → how far it is read, and what was read, up a pipe; in a process of its own.

The process imports the engine alone, runs at low priority, and ends when nobody hears it any more. The server
keeps on answering taps while it reads; of the file no more than a piece is in memory.
"""

import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import BinaryIO

from shoptrack.engine.gcode import BadProgram, read_program
from shoptrack.engine.shapes.programs import Program, Ways

NICE = 10
PIECE_BYTES = 64 * 1024
TELL_EVERY_BYTES = 1024 * 1024
MOST_CPU_S = 900
"""A program that takes longer to read is none that a router runs in a working day."""


@dataclass(frozen=True, slots=True)
class Told:
    """What comes up the pipe: so many bytes are read; or at last the program, or why it can't be read."""

    read_bytes: int
    program: Program | None = None
    line: int = 0
    why: str = ""


def read(file: BinaryIO, ways: Ways, tell: Callable[[Told], None]) -> None:
    """Read a program piece by piece and tell how far it is, then what came of it."""
    done = 0

    def pieces() -> Iterator[bytes]:
        nonlocal done
        told = 0
        while piece := file.read(PIECE_BYTES):
            yield piece
            done += len(piece)
            if done - told >= TELL_EVERY_BYTES:
                told = done
                tell(Told(done))

    try:
        program = read_program(pieces(), ways)
    except BadProgram as wrong:
        tell(Told(done, line=wrong.line, why=wrong.why))
    else:
        tell(Told(done, program))


def main(ways: Ways) -> None:
    """The whole life of the process."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the server's, which then closes the pipe
    _hold_back()
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)

    def tell(told: Told) -> None:
        pickle.dump(told, out, pickle.HIGHEST_PROTOCOL)
        out.flush()

    try:
        read(os.fdopen(0, "rb", buffering=0), ways, tell)
    except BrokenPipeError:
        os._exit(0)  # whoever asked is gone


def _hold_back() -> None:
    """Give way to everything else on the machine, and never go on for ever."""
    if sys.platform == "win32":
        return
    import resource

    os.nice(NICE)
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU_S, MOST_CPU_S))
