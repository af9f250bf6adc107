"""A way of reading and a file → seconds and memory, in a process of its own."""

import resource
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from time import process_time

from shoptrack.engine.gcode import read_program
from shoptrack.engine.shapes.programs import Ways

WAYS = Ways(rapid_mm_min=12_000.0)
PIECE = 1 << 16
Took = tuple[float, float]
"""Seconds of the processor, and MB more than before."""


def read_ours(file: Path) -> None:
    def pieces() -> Iterator[bytes]:
        with open(file, "rb") as text:
            while piece := text.read(PIECE):
                yield piece

    read_program(pieces(), WAYS)


def split_alone(file: Path) -> None:
    with open(file, "rb") as text:
        for line in text:
            line.split()


def peak_mb() -> float:
    per_mb = 1e6 if sys.platform == "darwin" else 1e3
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / per_mb


def measured(do: Callable[[Path], None], file: Path) -> Took:
    before, began = peak_mb(), process_time()
    do(file)
    return process_time() - began, peak_mb() - before


def apart(do: Callable[[Path], None], file: Path) -> Took:
    """In a process of its own, so that peaks are its own too."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as process:
        return process.submit(measured, do, file).result()
