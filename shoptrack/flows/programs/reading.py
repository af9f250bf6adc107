"""A program file → how far it is read, then what it does; by a process of its own, two at a time at most."""

import json
import pickle
import subprocess
import sys
from collections.abc import Generator
from contextlib import suppress
from dataclasses import asdict
from threading import BoundedSemaphore
from typing import IO

from shoptrack.engine.shapes.programs import Program, Ways
from shoptrack.errors import BadInput
from shoptrack.flows.programs.worker import Told

START = (
    "import json, sys; sys.path[:], ways = json.loads(sys.argv[1]); "
    "from shoptrack.engine.shapes.programs import Ways; from shoptrack.flows.programs.worker import main; "
    "main(Ways(**ways))"
)
LOW = getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0)  # elsewhere the process is nice by itself
AT_ONCE = 2
BUSY = "Two programs are being read just now. Send this one again in a minute."
BROKE = "The reading of this program broke off, so nothing of it was kept."
_TURNS = BoundedSemaphore(AT_ONCE)


def read_apart(file: IO[bytes], ways: Ways, code: str = START) -> Generator[int, None, Program]:
    """Read a program in another process; tells how many bytes are read, and gives the program.

    Takes a file of the disk, open and at its beginning. Raises BadInput at its field for a program that can't
    be read, which names the line, and where two are being read already. Left before its end it ends the
    process.
    """
    if not _TURNS.acquire(blocking=False):
        raise BadInput(BUSY, "file")
    try:
        return (yield from _heard(file, ways, code))
    finally:
        _TURNS.release()


def _heard(file: IO[bytes], ways: Ways, code: str) -> Generator[int, None, Program]:
    process = subprocess.Popen(
        [sys.executable, "-c", code, json.dumps([sys.path, asdict(ways)])],
        stdin=file.fileno(),
        stdout=subprocess.PIPE,
        creationflags=LOW,
    )
    assert process.stdout is not None
    try:
        while (told := _next(process.stdout)) is not None:
            if told.why:
                raise BadInput(f"Line {told.line:,}: {told.why}", "file")
            if told.program is not None:
                return told.program
            yield told.read_bytes
        raise BadInput(BROKE, "file")
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def _next(pipe: IO[bytes]) -> Told | None:
    """What comes next up the pipe; None where the process ended."""
    with suppress(EOFError, OSError, pickle.UnpicklingError):
        told = pickle.load(pipe)
        if isinstance(told, Told):
            return told
    return None
