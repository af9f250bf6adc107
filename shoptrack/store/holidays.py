"""A country, and part of it, → its public holidays, and those chosen of them → days off of the shop."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache

import holidays
from holidays.registry import COUNTRIES
from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.edits import note_made
from shoptrack.store.shop import add_day_off
from shoptrack.store.tables import DayOffRow

ENGLISH = ("en_US", "en_GB", "en_CA", "en_AU", "en")


@dataclass(frozen=True, slots=True)
class Holiday:
    """A public holiday; ``off``: the shop is already closed on that day."""

    on: date
    name: str
    off: bool = False


@cache
def countries() -> tuple[tuple[str, str], ...]:
    """The countries whose holidays are known: (code, name), by name."""
    known = holidays.list_supported_countries(include_aliases=False)
    named = {names[1]: _spaced(names[0].removeprefix("Holidays")) for names in COUNTRIES.values()}
    return tuple(sorted(((code, named.get(code, code)) for code in known), key=lambda c: c[1]))


def _spaced(name: str) -> str:
    """A name written as one word, as words: UnitedStates."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", " ", name)


@cache
def parts(country: str) -> tuple[tuple[str, str], ...]:
    """The parts of a country that have holidays of their own: (code, name), by name."""
    if country not in dict(countries()):
        return ()
    kind = holidays.country_holidays(country)
    names: dict[str, str] = {}
    for name, code in getattr(kind, "subdivisions_aliases", {}).items():
        names.setdefault(str(code), str(name))
    return tuple(sorted(((c, names.get(c, c)) for c in kind.subdivisions), key=lambda p: p[1]))


def check_place(country: str, part: str = "") -> str:
    """How the shop's row names a country and its part: "AT", "AT-9". Raises BadInput where there is none."""
    if country not in dict(countries()):
        raise BadInput("Choose a country from the list.", "country")
    if part and part not in dict(parts(country)):
        raise BadInput("Choose a part of that country from the list.", "part")
    return f"{country}-{part}" if part else country


def holidays_of(place: str, years: Collection[int]) -> tuple[Holiday, ...]:
    """The public holidays of a place ("AT", "AT-9") in some years, in order, in English where it is known.

    Raises BadInput for a place that is not there.
    """
    country, _, part = place.partition("-")
    check_place(country, part)
    said = holidays.country_holidays(country).supported_languages
    language = next((speech for speech in ENGLISH if speech in said), None)
    found = holidays.country_holidays(country, subdiv=part or None, years=years, language=language)
    return tuple(Holiday(on, name) for on, name in sorted(found.items()) if on.year in years)


def offered(session: Session, place: str, years: Collection[int]) -> tuple[Holiday, ...]:
    """The holidays of a place in some years, each with whether the shop is closed then already."""
    closed = session.scalars(select(DayOffRow).where(DayOffRow.person_id.is_(None))).all()
    return tuple(
        Holiday(h.on, h.name, any(row.first_on <= h.on <= row.last_on for row in closed))
        for h in holidays_of(place, years)
    )


def add_holidays(
    session: Session,
    place: str,
    years: Collection[int],
    chosen: Collection[date],
    *,
    who: int | None,
    now: datetime,
) -> Sequence[DayOffRow]:
    """Close the shop on the chosen days that are holidays of a place, under the holiday's name.

    Days on which it is closed already are left as they are. Gives the days off that were added.
    """
    added = []
    for holiday in offered(session, place, years):
        if holiday.on in chosen and not holiday.off:
            row = add_day_off(session, first_on=holiday.on, last_on=holiday.on, reason=holiday.name)
            note_made(session, row, who, now)
            added.append(row)
    return added
