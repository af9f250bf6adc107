"""The kinds of piece that the invented shop makes, each a sequence of stages."""

from collections.abc import Mapping, Sequence

from shoptrack.demo.case_work import BOX, DOOR, STOOL
from shoptrack.demo.flat_work import BOARD, TABLE, TRAY
from shoptrack.demo.steps import Step

PATTERNS: Mapping[str, Sequence[Step]] = {
    "dining table": TABLE,
    "serving tray": TRAY,
    "inlaid box": BOX,
    "game board": BOARD,
    "inlaid door": DOOR,
    "bentwood stool": STOOL,
}
