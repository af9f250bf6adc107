"""The text of a line → its words: one value a letter, codes by what they govern, comments."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from shoptrack.engine.gcode.expressions import Cursor
from shoptrack.engine.gcode.refusal import Unread

LONGEST = 2000
"""Bytes of a line. A published limit is 256 (NIST IR 6556, 3.3); comments of today are longer."""
_LONGEST_COMMENT = 80
_MOST_M = 4

_COMMENT = re.compile(r"\(([^()]*)\)|;(.*)$|([()])")
_VALUES = "dfhijklpqrstxyz"
# most lines are no more than letters and numbers of a sane length
_NUMBER = r"[-+]?(?:[0-9]{1,9}(?:\.[0-9]*)?|\.[0-9]+)"
_BARE = re.compile(rf"(?:n[0-9]{{1,9}})?(?:[{_VALUES}gm]{_NUMBER})*")
_BARE_WORD = re.compile(rf"([{_VALUES}gm])({_NUMBER})")
_ROTARY = "abcuvw"

# What governs the same thing, in tenths of a G number (G90.1 is 901). Source: NIST IR 6556, table 4; G95 is
# ISO 6983-1's, G90.1 and G91.1 are of other dialects of the family.
_G_GROUPS = {
    "once": (40, 280, 300, 530, 920, 921, 922, 923),
    "motion": (0, 10, 20, 30, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890),
    "plane": (170, 180, 190),
    "distance": (900, 910),
    "centres": (901, 911),
    "feed": (930, 940, 950),
    "units": (200, 210, 700, 710),
    "radius": (400,),
    "length": (430, 490),
    "back": (980, 990),
    "offset": (540, 550, 560, 570, 580, 590, 591, 592, 593),
    "path": (610, 611, 640),
}
_G_GROUP = {code: group for group, codes in _G_GROUPS.items() for code in codes}
_M_GROUPS = {"stop": (0, 1, 2, 30, 60), "change": (6,), "spindle": (3, 4, 5), "override": (48, 49)}
_M_GROUP = {code: group for group, codes in _M_GROUPS.items() for code in codes}
_COOLANT = (7, 8, 9)
_WHY_NOT = {
    "g10": "G10 sets offsets of the machine, which can't be followed here.",
    "g41": "G41 leaves the path to the tool's radius, which is not known here.",
    "g42": "G42 leaves the path to the tool's radius, which is not known here.",
    "m98": "M98 calls another program, which is not here.",
    "m99": "M99 returns from a program that was called, which can't be followed here.",
}


@dataclass(slots=True)
class Block:
    """A line's words: ``g`` and ``m`` have one code at most for each thing governed, ``values`` the rest."""

    g: dict[str, int]
    m: dict[str, int]
    values: dict[str, float]
    comment: str = ""

    @property
    def empty(self) -> bool:
        """Whether it has no words: a comment at most."""
        return not (self.g or self.m or self.values)

    def axes(self) -> bool:
        """Whether it names a place on X, Y or Z."""
        return "x" in self.values or "y" in self.values or "z" in self.values


def read_words(line: bytes, known: dict[int, float], skips_slashed: bool = False) -> Block:
    """The words of one line.

    Takes the line and the parameters set so far, to which those set here are added once all of the line is
    read. Gives its words; values as they are written. Empty: no words. Raises ``Unread``.
    Method: spaces may stand anywhere, small letters are capitals, a letter stands once but for G and M, which
    stand once for each thing they govern. Source: NIST IR 6556, 3.3 and 3.4.
    """
    if len(line) > LONGEST:
        raise Unread(f"it is longer than {LONGEST:,} signs.")
    text, comment = _without_comments(line.decode("utf-8", "replace"))
    text = text.replace(" ", "").replace("\t", "").lower()
    block = Block({}, {}, {}, comment)
    if _BARE.fullmatch(text):
        for letter, value in _BARE_WORD.findall(text):
            _put(block, letter, float(value))
        return block
    cursor = Cursor(text, known)
    if cursor.take("/") and skips_slashed:
        return block
    if cursor.take("n"):
        cursor.whole("a line's number (N)")
    sets: dict[int, float] = {}
    while not cursor.done:
        _read_one(cursor, block, sets)
    known.update(sets)
    return block


def _without_comments(text: str) -> tuple[str, str]:
    """The text without what is in round brackets or after a semicolon, and the first such comment."""
    if "(" not in text and ")" not in text and ";" not in text:
        return text, ""
    said: list[str] = []

    def strike(found: re.Match[str]) -> str:
        if found[3]:
            raise Unread("a comment in round brackets has no end or no beginning.")
        said.append((found[1] or found[2] or "").strip())
        return ""

    left = _COMMENT.sub(strike, text)
    first = next((each for each in said if each), "")
    return left, "".join(c for c in first if c.isprintable())[:_LONGEST_COMMENT]


def _read_one(cursor: Cursor, block: Block, sets: dict[int, float]) -> None:
    letter = cursor.letter()
    if letter == "#":
        index = cursor.parameter()
        if not cursor.take("="):
            raise Unread(f"what parameter #{index} is set to is missing.")
        sets[index] = cursor.value()
    elif letter in _VALUES or letter in "gm":
        _put(block, letter, cursor.value())
    else:
        raise Unread(_strange(letter))


def _put(block: Block, letter: str, value: float) -> None:
    if letter == "g":
        _code(block.g, "g", _tenths(value), _G_GROUP)
    elif letter == "m":
        _m_code(block, value)
    elif letter in block.values:
        raise Unread(f"{letter.upper()} stands twice.")
    else:
        block.values[letter] = value


def _tenths(value: float) -> int:
    tenths = round(value * 10)
    if value < 0 or abs(value * 10 - tenths) > 1e-3:
        raise Unread("a G code is no number with one decimal.")
    return tenths


def _m_code(block: Block, value: float) -> None:
    code = round(value)
    if value < 0 or abs(value - code) > 1e-4:
        raise Unread("an M code is no whole number.")
    if code not in _COOLANT:
        _code(block.m, "m", code, _M_GROUP)
    if len(block.m) > _MOST_M:
        raise Unread(f"more than {_MOST_M} M codes stand on it.")


def _code(codes: dict[str, int], letter: str, code: int, groups: Mapping[int, str]) -> None:
    name = f"{letter}{code // 10}" + (f".{code % 10}" if code % 10 else "") if letter == "g" else f"m{code}"
    group = groups.get(code)
    if group is None:
        raise Unread(_WHY_NOT.get(name, f"{name.upper()} is not understood."))
    if group in codes:
        raise Unread(f"{name.upper()} contradicts another code on it.")
    codes[group] = code


def _strange(letter: str) -> str:
    if letter in _ROTARY:
        return f"{letter.upper()} moves an axis that a router of three axes has not."
    if letter == "o":
        return "O words (subroutines, loops) can't be followed here."
    if letter == "n":
        return "the line's number (N) doesn't stand first."
    shown = letter.upper() if letter.isprintable() and letter != "\ufffd" else "a sign"
    return f"{shown} is not understood."
