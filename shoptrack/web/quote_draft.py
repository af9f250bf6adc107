"""What was typed of a quote, its lists of lines, and each button → what its form shows after it.

The draft lies in the form itself: every line is a row of fields, so nothing is lost on the way.
"""

from collections.abc import Mapping

from shoptrack.errors import BadInput
from shoptrack.web.forms import Fields

ROWS: Mapping[str, tuple[str, ...]] = {
    "stage": ("kind", "name", "quantity", "station"),
    "bought": ("words", "kind", "quantity", "unit", "each", "waste"),
    "charge": ("kind", "words", "price"),
    "option": ("words", "price", "in_total"),
}
"""The lists within the form, each with the fields of one line."""

CHOSEN_BY_ITSELF = frozenset({("bought", "kind"), ("charge", "kind")})
"""Choices that a line has without anybody having chosen."""

MOST_LINES = 60


def lines(fields: Fields, name: str) -> int:
    """How many lines of a list the form shows."""
    return min(_number(fields.get(f"{name}-lines", ""), 4) or 0, MOST_LINES)


def turned(fields: Fields, button: str) -> dict[str, str]:
    """What the form shows after a button: add- and a list's name; out- and the name and number of a line."""
    what, _, rest = button.partition("-")
    name, _, number = rest.partition("-")
    if what == "add" and name in ROWS:
        return with_line(fields, name, {})
    gone = _number(number, 4)
    return (
        without(fields, name, gone) if what == "out" and name in ROWS and gone is not None else dict(fields)
    )


def with_line(fields: Fields, name: str, line: Fields) -> dict[str, str]:
    """With one more line; one that says something goes to the first place where nothing is written.

    Raises BadInput past the most.
    """
    shown = lines(fields, name)
    at = next((n for n in range(shown) if line and not _written(fields, name, n)), shown)
    if at >= MOST_LINES:
        raise BadInput(f"That is enough: a quote has at most {MOST_LINES} lines of a kind.")
    typed = {f"{name}-{at}-{part}": value for part, value in line.items()}
    return {**fields, **typed, f"{name}-lines": str(max(shown, at + 1))}


def without(fields: Fields, name: str, gone: int) -> dict[str, str]:
    """Without a line; those after it move up."""
    shown, typed = lines(fields, name), dict[str, str]()
    if gone >= shown:
        return dict(fields)
    for n in range(gone, shown):
        for part in ROWS[name]:
            typed[f"{name}-{n}-{part}"] = fields.get(f"{name}-{n + 1}-{part}", "") if n < shown - 1 else ""
    return {**fields, **typed, f"{name}-lines": str(shown - 1)}


def closed_up(fields: Fields) -> dict[str, str]:
    """Without the lines in which nothing is written, so that the others are numbered one after another."""
    found = dict(fields)
    for name in ROWS:
        for n in reversed(range(lines(found, name))):
            if not _written(found, name, n):
                found = without(found, name, n)
    return found


def of_material(kind: str) -> int | None:
    """The material that a choice means: "m3" is the third; None where it is a kind alone."""
    return _number(kind.removeprefix("m"), 10) if kind.startswith("m") else None


def _written(fields: Fields, name: str, n: int) -> bool:
    """Whether a line says something; a kind that is there by itself says nothing, a material does."""
    said = {part: fields.get(f"{name}-{n}-{part}", "").strip() for part in ROWS[name]}
    if name == "bought" and of_material(said["kind"]) is not None:
        return True
    return any(value for part, value in said.items() if (name, part) not in CHOSEN_BY_ITSELF)


def _number(text: str, digits: int) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < digits else None
