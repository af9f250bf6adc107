"""Readings of a tool's hour meter, and its logged hours between deeds → the hours that it truly ran."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from shoptrack.engine.shapes import Deed

LEAST_SCALE, GREATEST_SCALE = 0.25, 4.0
"""How far what two readings said is believed of the time after them."""
LEAST_LOGGED_H = 1 / 60
"""Less than a minute in the log is nothing that could be scaled."""
FINE_H = 0.2
"""A meter is read to a tenth of an hour, twice."""

BACKWARDS = "the meter showed less than before: counted anew from here"
TOO_MUCH = "the meter ran for longer than the time that passed: not used"


@dataclass(frozen=True, slots=True)
class Metered:
    """Hours by place (before the first deed, between each and the next, after the last), and the last scale.

    ``odd`` are remarks by entry.
    """

    run_h: tuple[float, ...]
    effective_h: tuple[float, ...]
    last: float
    odd: dict[str, str]


def metered(deeds: Sequence[Deed], run_h: Sequence[float], effective_h: Sequence[float]) -> Metered:
    """The hours of one tool as its meter says.

    Takes its deeds in order and the logged run and effective hours of each place, one more than deeds.
    Gives them corrected: between two readings by what the meter ran over what was logged; where nothing was
    logged, what the meter ran, even in time and of the shop's usual wood; after the last reading by the last
    scale, clipped to .25–4; before the first as logged. Empty: without two readings nothing is changed.
    """
    run, effective = list(run_h), list(effective_h)
    odd: dict[str, str] = {}
    last, until = 1.0, 0
    readings = [n for n, deed in enumerate(deeds) if deed.did == "meter" and deed.minutes is not None]
    for before, after in pairwise(readings):
        read = _read_h(deeds[before], deeds[after])
        wrong = _wrong(deeds[before], deeds[after], read)
        if wrong:
            odd[deeds[after].entry] = wrong
        else:
            scale = _apply(deeds, before, after, read, run, effective)
            last = last if scale is None else scale
        last, until = (1.0 if wrong == BACKWARDS else last), after
    last = min(max(last, LEAST_SCALE), GREATEST_SCALE)
    for place in range(until + 1, len(run)) if len(readings) > 1 else ():
        run[place] *= last
        effective[place] *= last
    return Metered(tuple(run), tuple(effective), last, odd)


def _read_h(before: Deed, after: Deed) -> float:
    return ((after.minutes or 0.0) - (before.minutes or 0.0)) / 60.0


def _wrong(before: Deed, after: Deed, read_h: float) -> str:
    if read_h < 0:
        return BACKWARDS
    passed_h = (after.at - before.at).total_seconds() / 3600.0
    return TOO_MUCH if read_h > passed_h + FINE_H else ""


def _apply(
    deeds: Sequence[Deed], before: int, after: int, read_h: float, run: list[float], effective: list[float]
) -> float | None:
    """Correct the places between two readings in place; gives the scale, None where nothing was logged."""
    places = range(before + 1, after + 1)
    logged = sum(run[place] for place in places)
    if logged >= LEAST_LOGGED_H:
        scale = read_h / logged
        for place in places:
            run[place] *= scale
            effective[place] *= scale
        return scale
    passed = (deeds[after].at - deeds[before].at).total_seconds()
    for place in places if passed > 0 else ():
        part = (deeds[place].at - deeds[place - 1].at).total_seconds() / passed
        run[place] = effective[place] = read_h * part
    return None
