"""What was done to edges → lines of a tool's own book, and the last tap in words so that it can be undone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.engine.shapes import Deed
from shoptrack.engine.shapes.edges import Did
from shoptrack.flows.shopfloor import Sight

WORDS: dict[Did, str] = {
    "fitted": "put on",
    "taken off": "taken off",
    "found dull": "found dull",
    "cleaned": "cleaned, it was only dirty",
    "rough only": "dull for show cuts, roughs still",
    "sharpened": "sharpened here",
    "turned": "turned to its next corner",
    "replaced": "a new one in its place",
    "broken": "broken",
    "sent": "sent to the sharpener",
    "back": "back from the sharpener, sharp",
    "worn out": "worn out for good",
    "meter": "hour meter read",
}
"""What was done, as makers say it."""


@dataclass(frozen=True, slots=True)
class DeedLine:
    """A line of a tool's book: which edge (nothing: the one that was on it), what, and by whom.

    ``meter_h`` is the reading of the tool's hour meter; ``odd`` a remark where it can't be quite so.
    """

    entry: str
    at: datetime
    edge: str
    did: Did
    words: str
    who: str
    text: str
    cents: int | None
    back_on: date | None
    meter_h: float | None
    odd: str


@dataclass(frozen=True, slots=True)
class LastTap:
    """The tap that was just made, by its entry: the tool, the edge, and what was said of it."""

    entry: str
    tool: int
    words: str


def book_of(sight: Sight, tool: int, odd: Mapping[str, str]) -> tuple[DeedLine, ...]:
    """All that was done to the edges of a tool and counts, newest first."""
    own = [deed for deed in sight.replayed.deeds if deed.tool == tool]
    return tuple(_line(sight, deed, odd) for deed in reversed(own))


def last_tap(sight: Sight, entry: str) -> LastTap | None:
    """The tap of an id in words; None where there is none, or it was struck."""
    deed = _find(sight.replayed.deeds, entry)
    if deed is None:
        return None
    tool, edge = sight.world.tools.get(deed.tool, ""), _edge(sight, deed)
    return LastTap(entry, deed.tool, f"{tool}{f', {edge}' if edge else ''}: {WORDS[deed.did]}")


def _find(deeds: Sequence[Deed], entry: str) -> Deed | None:
    return next((deed for deed in reversed(deeds) if deed.entry == entry), None)


def _line(sight: Sight, deed: Deed, odd: Mapping[str, str]) -> DeedLine:
    person = sight.world.people.get(deed.person or 0)
    return DeedLine(
        entry=deed.entry,
        at=deed.at,
        edge=_edge(sight, deed),
        did=deed.did,
        words=WORDS[deed.did],
        who=person.name if person is not None else "",
        text=deed.text,
        cents=deed.cents,
        back_on=deed.back_on,
        meter_h=None if deed.minutes is None else deed.minutes / 60,
        odd=odd.get(deed.entry, ""),
    )


def _edge(sight: Sight, deed: Deed) -> str:
    found = sight.world.edges.get(deed.edge or 0)
    return found.name if found is not None else ""
