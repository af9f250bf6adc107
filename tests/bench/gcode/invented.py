"""A kind of program and a size → the lines of an invented one, as long as asked for."""

from collections.abc import Iterator
from itertools import count
from math import cos, pi, sin
from random import Random

HEAD = "%\nG21 G90 G17 G94\nT1 M6 (6 mm ball)\nS18000 M3\nG0 X0 Y0 Z5\nG1 Z0 F2400\n"
FOOT = "G0 Z20\nM5\nM30\n%\n"
KINDS = ("relief", "outlines", "holes")


def lines(kind: str, size_bytes: int, seed: int) -> Iterator[str]:
    """The head, as many lines as the size needs, the foot."""
    made = {"relief": _relief, "outlines": _outlines, "holes": _holes}[kind](Random(seed))
    yield HEAD
    written = len(HEAD) + len(FOOT)
    for line in made:
        written += len(line)
        if written > size_bytes:
            break
        yield line
    yield FOOT


def _relief(rng: Random) -> Iterator[str]:
    """A carved surface in passes 0.2 mm apart, a place every 0.25 mm."""
    a, b = rng.uniform(5, 15), rng.uniform(5, 15)
    for n in count():
        y = n % 1500 * 0.2
        steps = range(1201) if n % 2 == 0 else range(1200, -1, -1)
        yield f"G1 Y{y:.3f}\n"
        for step in steps:
            x = step * 0.25
            yield f"X{x:.3f} Z{-4 + 3 * sin(x / a) * cos(y / b):.3f}\n"


def _outlines(rng: Random) -> Iterator[str]:
    """Parts with round corners, in passes ever deeper: as many arcs as lines."""
    while True:
        x, y, wide, high = (round(rng.uniform(20, 400), 3) for _ in range(4))
        yield f"G0 Z5\nG0 X{x + 10:.3f} Y{y:.3f}\n"
        for depth in range(1, 7):
            yield f"G1 Z-{depth * 3} F900\nG1 X{x + 10 + wide:.3f} F3000\n"
            corners = (
                (1, 0, 10, 10, 0, 10),
                (1, 1, -10, 10, -10, 0),
                (0, 1, -10, -10, 0, -10),
                (0, 0, 10, -10, 10, 0),
            )
            px, py = x + 10 + wide, y
            for right, up, dx, dy, i, j in corners:
                yield f"G3 X{px + dx:.3f} Y{py + dy:.3f} I{i} J{j}\n"
                px, py = px + dx, py + dy
                if right and not up:
                    py += high
                elif right and up:
                    px -= wide
                elif up:
                    py -= high
                yield f"G1 X{px:.3f} Y{py:.3f}\n"


def _holes(rng: Random) -> Iterator[str]:
    yield "G0 Z5\nG99 G81 X0 Y0 Z-12 R2\n"
    while True:
        angle = rng.uniform(0, 2 * pi)
        yield f"X{450 + 400 * cos(angle):.3f} Y{450 + 400 * sin(angle):.3f}\n"
