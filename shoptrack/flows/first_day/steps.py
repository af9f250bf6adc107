"""How far the guided first day is: which step is next, and each step done or still to come."""

from dataclasses import dataclass
from typing import Literal

from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.store.shop import find_shop, shop_row

STEPS: dict[str, str] = {
    "shop": "the shop",
    "people": "people",
    "rooms": "rooms",
    "stations": "stations",
    "clamps": "clamps",
    "recipes": "glue and finish",
    "kinds": "kinds of stage",
    "pattern": "a first pattern",
    "job": "a first job",
}
"""The steps in their order, each with the words for it."""

_ORDER = tuple(STEPS)


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step as a page lists it. ``here``: it is the one in sight."""

    key: str
    number: int
    name: str
    state: Literal["passed", "next", "to come"]
    here: bool = False


def next_step(session: Session) -> str | None:
    """The step that is next; the first before there is a shop, None when the first day is over."""
    row = find_shop(session)
    if row is None:
        return _ORDER[0]
    return row.first_day if row.first_day in STEPS else None


def step_lines(next_key: str | None, here: str = "") -> tuple[StepLine, ...]:
    """All steps with where they stand. Takes the next one, and the one that is in sight."""
    at = len(_ORDER) if next_key is None else _ORDER.index(next_key)
    return tuple(
        StepLine(
            key, n + 1, STEPS[key], "passed" if n < at else "next" if n == at else "to come", key == here
        )
        for n, key in enumerate(_ORDER)
    )


def go_on(session: Session, passed: str) -> str | None:
    """Note that a step was done or left out, and give the next; None when the first day is over.

    A step that was gone back to changes nothing of what is next. It leaves no line of history: it is a
    bookmark. Raises NotFound for a step that is none, or before there is a shop.
    """
    if passed not in STEPS:
        raise NotFound("The first day has no such step.")
    row = shop_row(session)
    if row.first_day in STEPS and _ORDER.index(passed) >= _ORDER.index(row.first_day):
        later = _ORDER[_ORDER.index(passed) + 1 :]
        row.first_day = later[0] if later else None
        session.flush()
    return row.first_day
