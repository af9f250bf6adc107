"""Reeds and rings → the text of the machine program that carves them into a door's panels, in inches."""

from collections.abc import Iterator
from itertools import pairwise

VEE, UPCUT = (1, "60 V-bit"), (2, "1/8 upcut")
"""The numbers by which the program calls its bits, and what stands beside them."""
NAME = "reed-3.nc"
REEDS, FIRST_IN, APART_IN = 8, 2.0, 2.0
BENDS_IN = (1.5, 10.5, 19.5, 28.5, 37.5)
BEND_RADIUS_IN = 12
REED_DEPTHS_IN = (0.05, 0.1, 0.14)
ROWS_IN, COLUMNS_IN = (4.0, 9.0, 14.0), (6.0, 15.0, 24.0, 33.0)
RINGS_IN = (0.3, 0.6, 0.9)
RING_DEPTHS_IN = (0.07, 0.13, 0.19)
CLEAR_IN = 0.25
REED_FEED, RING_FEED, PLUNGE_FEED = 35, 17, 12
"""Inches a minute."""


def reed_program() -> bytes:
    """The whole program: reeds with the V-bit, then grooves for rings of inlay with the upcut bit."""
    lines = [
        "%",
        "(REED-3: eight reeds, twelve rosettes of three rings, the panels of one door)",
        "(zero at the left front corner, on top of the panel)",
        "G20 G90 G94 G17",
        *_bit(VEE, 16000),
        *(line for n in range(REEDS) for line in _reed(FIRST_IN + APART_IN * n)),
        *_bit(UPCUT, 18000),
        *(line for y in ROWS_IN for x in COLUMNS_IN for ring in RINGS_IN for line in _ring(x, y, ring)),
        "M5",
        "G0 Z2",
        "M30",
        "%",
    ]
    return "\n".join(lines).encode() + b"\n"


def _bit(bit: tuple[int, str], turns: int) -> list[str]:
    number, label = bit
    return [f"T{number} M6 ({label})", f"S{turns} M3", "G4 P3", f"G0 Z{CLEAR_IN}"]


def _reed(y: float) -> Iterator[str]:
    """There at the first depth, back at the second, there at the third, in bends to either side."""
    yield f"G0 X{BENDS_IN[0]:g} Y{y:g}"
    for turn, depth in enumerate(REED_DEPTHS_IN):
        back = turn % 2 == 1
        yield f"G1 Z-{depth:g} F{PLUNGE_FEED}"
        yield f"F{REED_FEED}"
        for n, (_, x) in enumerate(pairwise(BENDS_IN[::-1] if back else BENDS_IN)):
            yield f"G{3 if (n % 2 == 0) != back else 2} X{x:g} Y{y:g} R{BEND_RADIUS_IN}"
    yield f"G0 Z{CLEAR_IN}"


def _ring(x: float, y: float, radius: float) -> Iterator[str]:
    """A groove all round, deeper each time."""
    yield f"G0 X{x + radius:g} Y{y:g}"
    for depth in RING_DEPTHS_IN:
        yield f"G1 Z-{depth:g} F{PLUNGE_FEED}"
        yield f"G3 X{x + radius:g} Y{y:g} I-{radius:g} J0 F{RING_FEED}"
    yield f"G0 Z{CLEAR_IN}"
