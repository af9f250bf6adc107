"""The text of a value – a number, a parameter, brackets – → the number it stands for."""

import math
import re
from collections.abc import Callable, Mapping

from shoptrack.engine.gcode.refusal import Unread

MOST = 1e9
"""Nothing in a shop is larger, in any unit; beyond it arithmetic would overflow."""
LEAST_PARAMETER, MOST_PARAMETER = 1, 5399
_DEEPEST = 20
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
_FUNCTION = re.compile(r"abs|acos|asin|atan|cos|exp|fix|fup|ln|round|sin|sqrt|tan")
_OPERATION = re.compile(r"\*\*|\*|/|mod|\+|-|or|xor|and")
_OPEN, _CLOSE, _VALUE = "[", "]", "#"

# The higher binds more strongly: power; times, divided by, modulo; the rest. Source: NIST IR 6556, 3.3.2.3.
_BINDS = {"**": 3, "*": 2, "/": 2, "mod": 2, "+": 1, "-": 1, "or": 1, "xor": 1, "and": 1}


def _fix(value: float) -> float:
    return float(math.floor(value))


def _fup(value: float) -> float:
    return float(math.ceil(value))


def _round(value: float) -> float:
    return math.copysign(math.floor(abs(value) + 0.5), value)


# Angles are in degrees; ROUND goes away from nought at a half (from memory). Source: NIST IR 6556, 3.3.2.4.
_ONE: Mapping[str, Callable[[float], float]] = {
    "abs": abs,
    "acos": lambda v: math.degrees(math.acos(v)),
    "asin": lambda v: math.degrees(math.asin(v)),
    "cos": lambda v: math.cos(math.radians(v)),
    "exp": math.exp,
    "fix": _fix,
    "fup": _fup,
    "ln": math.log,
    "round": _round,
    "sin": lambda v: math.sin(math.radians(v)),
    "sqrt": math.sqrt,
    "tan": lambda v: math.tan(math.radians(v)),
}
_TWO: Mapping[str, Callable[[float, float], float]] = {
    "**": lambda a, b: math.pow(a, b),
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
    "mod": lambda a, b: a - b * math.floor(a / b),
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "or": lambda a, b: float(a != 0 or b != 0),
    "xor": lambda a, b: float((a != 0) != (b != 0)),
    "and": lambda a, b: float(a != 0 and b != 0),
}


class Cursor:
    """A line without spaces and comments, in small letters, read from left to right.

    Takes the text and the parameters set so far. Method: recursive descent.
    Raises ``Unread`` where the text is no value, or one that can't be reckoned.
    """

    __slots__ = ("at", "deep", "known", "text")

    def __init__(self, text: str, known: Mapping[int, float]) -> None:
        self.text = text
        self.known = known
        self.at = 0
        self.deep = 0

    @property
    def done(self) -> bool:
        """Whether all of the line was read."""
        return self.at >= len(self.text)

    def take(self, wanted: str) -> bool:
        """Go past a text, if it stands here."""
        here = self.text.startswith(wanted, self.at)
        self.at += len(wanted) * here
        return here

    def letter(self) -> str:
        """The next sign, whatever it is."""
        self.at += 1
        return self.text[self.at - 1]

    def value(self) -> float:
        """The value that begins here: a number, a parameter (#), brackets, or a function of brackets."""
        found = _NUMBER.match(self.text, self.at)
        if found:
            self.at = found.end()
            return _sane(float(found[0]))
        self.deep += 1
        if self.deep > _DEEPEST:
            raise Unread(f"brackets stand more than {_DEEPEST} deep in each other.")
        # the standard has no sign before a bracket; other dialects have, and it can mean one thing only
        sign = -1.0 if self.take("-") else 1.0
        value = sign * self._composed()
        self.deep -= 1
        return value

    def whole(self, what: str) -> int:
        """A value that must be a whole number of 0 or more."""
        value = self.value()
        if value < 0 or abs(value - round(value)) > 1e-4:
            raise Unread(f"{what} must be a whole number of 0 or more.")
        return round(value)

    def parameter(self) -> int:
        """The number of a parameter, of which the # is past."""
        index = self.whole("the number of a parameter (#)")
        if not LEAST_PARAMETER <= index <= MOST_PARAMETER:
            raise Unread(f"there is no parameter #{index}: they go from 1 to {MOST_PARAMETER}.")
        return index

    def _composed(self) -> float:
        if self.take(_VALUE):
            return self._known(self.parameter())
        if self.text.startswith(_OPEN, self.at):
            return self._brackets()
        name = _FUNCTION.match(self.text, self.at)
        if not name:
            raise Unread("a number is missing or can't be read.")
        self.at = name.end()
        if name[0] == "atan":
            return self._atan()
        inner = self._brackets()
        return _reckoned(lambda: _ONE[name[0]](inner))

    def _atan(self) -> float:
        over = self._brackets()
        if not self.take("/"):
            raise Unread("ATAN needs two values: ATAN[…]/[…].")
        under = self._brackets()
        return math.degrees(math.atan2(over, under))

    def _known(self, index: int) -> float:
        if index not in self.known:
            raise Unread(f"parameter #{index} is read, but the program never set it.")
        return self.known[index]

    def _brackets(self) -> float:
        if not self.take(_OPEN):
            raise Unread("a bracket [ is missing.")
        value = self._sum(1)
        if not self.take(_CLOSE):
            raise Unread("a bracket ] is missing.")
        return value

    def _sum(self, binding: int) -> float:
        """Values joined by operations that bind at least so strongly; equals from left to right."""
        value = self.value()
        while operation := _OPERATION.match(self.text, self.at):
            sign = operation[0]
            if _BINDS[sign] < binding:
                break
            self.at = operation.end()
            value = _joined(sign, value, self._sum(_BINDS[sign] + 1))
        return value


def _joined(sign: str, left: float, right: float) -> float:
    return _reckoned(lambda: _TWO[sign](left, right))


def _reckoned(reckon: Callable[[], float]) -> float:
    try:
        return _sane(reckon())
    except (ValueError, ZeroDivisionError, OverflowError) as wrong:
        raise Unread("an expression can't be reckoned.") from wrong


def _sane(value: float) -> float:
    if not abs(value) <= MOST:
        raise Unread("a number is too large.")
    return value
