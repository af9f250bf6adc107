"""Hours of cutting, chances and days of an edge to the words of its lines."""

from collections.abc import Callable
from typing import TypeVar

from shoptrack.engine.units import minutes_words
from shoptrack.flows.tooling.due import DueOf
from shoptrack.flows.tooling.page import likely_dull
from shoptrack.web.render import unbroken

WORTH_SAYING = 0.02
"""Hours of the usual wood that differ by a smaller share from those on the clock are not said beside them."""
ENDED = {
    "found dull": "found dull",
    "rough only": "dull for show cuts",
    "sharpened": "sharpened before it was dull",
    "turned": "turned before it was dull",
    "replaced": "replaced before it was dull",
    "back": "sharpened before it was dull",
    "sent": "sent before it was dull",
    "broken": "broken",
    "worn out": "worn out",
}
"""How a life ended, by the deed that ended it."""

Word = TypeVar("Word", bound=Callable[..., str | bool])
FILTERS: list[Callable[..., str | bool]] = []


def word(made: Word) -> Word:
    """Give a function to the templates as a filter of its name."""
    FILTERS.append(made)
    return made


@word
def cut_hours(hours: float) -> str:
    """Hours of cutting: "0 h", "40 min", "9.2 h", "14 h"."""
    if 0 < hours < 1:
        return unbroken(minutes_words(hours * 60))
    said = f"{hours:.1f}".removesuffix(".0") if round(hours, 1) < 10 else f"{hours:.0f}"
    return unbroken(f"{said} h")


@word
def run_words(due: DueOf) -> str:
    """What an edge has run since it was sharp; and in the shop's usual wood, where that is another number."""
    run, effective = due.stands.run_h, due.stands.effective_h
    if run == 0:
        return "not run yet"
    if abs(effective - run) <= WORTH_SAYING * max(run, effective):
        return f"run {cut_hours(run)}"
    return f"run {cut_hours(run)}, on its edge like {cut_hours(effective)} of the usual wood"


@word
def chance_words(chance: float) -> str:
    """The chance of being dull in whole hundredths, and never quite none or all: "under 1 %", "34 %"."""
    if chance < 0.01:
        return "under 1\N{NO-BREAK SPACE}%"
    return "over 99\N{NO-BREAK SPACE}%" if chance > 0.99 else f"{round(chance * 100)}\N{NO-BREAK SPACE}%"


@word
def rests_words(due: DueOf) -> str:
    """What the life of an edge rests on: sharpenings that were seen, else the usual life."""
    usual = f"usual {cut_hours(due.usual_h)}{', a starting value' if due.kind.starting else ''}"
    if not due.dull_lives and not due.cut_short:
        return f"rests on the {usual}: nothing was found dull yet"
    seen = f"{due.dull_lives} found dull" if due.dull_lives else "none found dull yet"
    early = f", {due.cut_short} not seen to the end" if due.cut_short else ""
    return f"learned from {seen}{early}; {usual}"


@word
def ended_words(did: str | None, dull: bool) -> str:
    """How a life ended; one that goes on has not."""
    if did is None:
        return "still going on"
    return ENDED.get("found dull" if dull and did != "rough only" else did, did)


@word
def is_likely_dull(due: DueOf) -> bool:
    """Whether it is so likely dull by now that somebody is to look at it, though nobody found it so."""
    return likely_dull(due)
