"""The posted forms of the first day to the answers of its steps, each wrong one refused by its field."""

from datetime import time

from shoptrack.engine.shapes import Rule
from shoptrack.errors import BadInput
from shoptrack.flows.first_day.currencies import CURRENCIES
from shoptrack.flows.first_day.offers import LIMITS, ROWS
from shoptrack.flows.first_day.shop import Hours, RoomAnswer, ShopAnswers
from shoptrack.flows.first_day.starting_things import KINDS, REACHES, ROOMS, STATIONS, StartingKind
from shoptrack.flows.first_day.things import KindAnswer, PoolAnswer, StationAnswer
from shoptrack.flows.first_day.work import JobAnswer, PatternAnswer, RowAnswer
from shoptrack.store.zones import all_zones
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import Wall, length

MORE = 2
"""How many stations of other names the form has room for."""
LONGEST_NAME, MOST_PEOPLE = 60, 40


def slug(name: str) -> str:
    """A thing's name as the end of a field's name."""
    return "".join(c if c.isalnum() else "-" for c in name)


def read_shop(fields: Fields) -> ShopAnswers:
    """The answers of the first step."""
    name = forms.words(fields, "name", "The shop’s name", LONGEST_NAME)
    zone = forms.choice(fields, "zone", "The time zone", all_zones())
    unit = forms.choice(fields, "length_unit", "The unit of length", ("in", "mm"))
    warmth = forms.choice(fields, "temperature_unit", "The unit of warmth", ("F", "C"))
    currency = forms.choice(fields, "currency", "The money", CURRENCIES)
    hands = forms.choice(fields, "clock", "The way to write the time", ("12", "24"))
    return ShopAnswers(
        name=name,
        zone=zone,
        length_unit="mm" if unit == "mm" else "in",
        temperature_unit="C" if warmth == "C" else "F",
        currency=currency,
        clock_24h=hands == "24",
        hours=_read_hours(fields),
    )


def _read_hours(fields: Fields) -> Hours | None:
    """The working day; None where the page said the days one by one, which stay."""
    if fields.get("hours") == "kept":
        return None
    opens, closes = _clock(fields, "opens", "When work begins"), _clock(fields, "closes", "When work ends")
    lunch = [forms.maybe_clock(fields, f"lunch_{end}", "The end of lunch") for end in ("from", "until")]
    if (lunch[0] is None) != (lunch[1] is None):
        raise BadInput("Give both ends of lunch, or leave both empty.", "lunch_from")
    return Hours(
        opens,
        closes,
        (lunch[0], lunch[1]) if lunch[0] and lunch[1] else None,
        frozenset(day for day in range(7) if fields.get(f"day-{day}")),
    )


def _clock(fields: Fields, name: str, called: str) -> time:
    found = forms.maybe_clock(fields, name, called)
    if found is None:
        raise BadInput(f"{called} is missing.", name)
    return found


def read_people(fields: Fields) -> tuple[str, ...]:
    """The names, one a line, each once."""
    lines = [" ".join(line.split()) for line in fields.get("names", "").splitlines()]
    names = list({line.casefold(): line for line in reversed(lines) if line}.values())[::-1]
    if any(len(name) > LONGEST_NAME for name in names):
        raise BadInput(f"A name is longer than {LONGEST_NAME} letters; write one name a line.", "names")
    if len(names) > MOST_PEOPLE:
        raise BadInput(f"More than {MOST_PEOPLE} people can’t be meant.", "names")
    return tuple(names)


def read_rooms(fields: Fields, wall: Wall) -> tuple[RoomAnswer, ...]:
    """The rooms that are ticked."""
    found = []
    for room in ROOMS:
        key = slug(room.name)
        if fields.get(f"on-{key}"):
            day, night = (_warmth(fields, f"{part}-{key}", wall) for part in ("day", "night"))
            found.append(RoomAnswer(room.name, day, night))
    return tuple(found)


def _warmth(fields: Fields, name: str, wall: Wall) -> float:
    found = forms.maybe_warmth(fields, name, "That warmth", wall)
    if found is None:
        raise BadInput("Give a usual warmth; a guess will do.", name)
    return found


def read_stations(fields: Fields, wall: Wall) -> tuple[StationAnswer, ...]:
    """The stations that are ticked, and those written in."""
    found = []
    for station in STATIONS:
        key = slug(station.name)
        if fields.get(f"on-{key}"):
            limits = {
                column: mm
                for column, _, _ in station.limits
                if (mm := forms.maybe_length(fields, f"{column}-{key}", f"The {LIMITS[column]}", wall))
            }
            found.append(StationAnswer(station.name, _room(fields, key), _dust(fields, key), limits))
    for n in range(1, MORE + 1):
        name = forms.maybe_words(fields, f"more-{n}", "The station’s name", LONGEST_NAME)
        if name:
            found.append(StationAnswer(name, _room(fields, f"more-{n}"), _dust(fields, f"more-{n}")))
    return tuple(found)


def _room(fields: Fields, key: str) -> int | None:
    return forms.maybe_id(fields, f"room-{key}", "The room")


def _dust(fields: Fields, key: str) -> bool:
    return bool(fields.get(f"dust-{key}"))


def read_clamps(fields: Fields, wall: Wall) -> tuple[PoolAnswer, ...]:
    """The pools that are counted."""
    found = []
    for n in range(1, len(REACHES) + 1):
        if not fields.get(f"count-{n}", "").strip():
            continue
        owned = forms.whole(fields, f"count-{n}", "The number of clamps", least=0, most=1000)
        reach = forms.maybe_length(fields, f"reach-{n}", "That reach", wall, 10_000)
        if reach is None:
            raise BadInput("How far do these clamps reach?", f"reach-{n}")
        found.append(PoolAnswer(length(reach, wall), round(reach), owned))
    return tuple(found)


def read_kinds(fields: Fields, wall: Wall) -> tuple[KindAnswer, ...]:
    """The kinds of stage that are ticked, with their measures and rules of thumb."""
    return tuple(
        _read_kind(fields, kind, *kind.in_unit("mm" if wall.length_unit == "mm" else "in")[:2])
        for kind in KINDS
        if fields.get(f"on-{slug(kind.name)}")
    )


def _read_kind(fields: Fields, kind: StartingKind, unit: str, usual: Rule) -> KindAnswer:
    key = slug(kind.name)
    if kind.attendance == "none":
        return KindAnswer(kind, unit, usual, starting=False)
    measure = forms.words(fields, f"unit-{key}", "What it is counted in", 40)
    setup = forms.maybe_minutes(fields, f"setup-{key}", "The set-up", most=6000)
    rate = forms.maybe_minutes(fields, f"rate-{key}", "The time for one", most=6000)
    if not rate:
        raise BadInput("Say how long one takes; a guess will do.", f"rate-{key}")
    rule = Rule(setup or 0.0, rate)
    return KindAnswer(kind, measure, rule, starting=rule == usual and measure == unit)


def read_pattern(fields: Fields) -> PatternAnswer:
    """The pattern's stages in their order; a row without a kind is left out."""
    rows = []
    for n in range(1, ROWS + 1):
        kind = forms.maybe_id(fields, f"kind-{n}", "The stage")
        if kind is not None:
            amount = forms.measure(fields, f"amount-{n}", "How much")
            if amount is None:
                raise BadInput("Say how much of it there is.", f"amount-{n}")
            rows.append(RowAnswer(kind, amount))
    return PatternAnswer(
        name=forms.words(fields, "name", "The pattern’s name", LONGEST_NAME),
        rows=rows,
        glue=forms.maybe_id(fields, "glue", "The glue"),
        finish=forms.maybe_id(fields, "finish", "The finish"),
        pool=forms.maybe_id(fields, "pool", "The clamps"),
        clamps=_clamps(fields),
    )


def _clamps(fields: Fields) -> int:
    said = fields.get("clamps", "").strip()
    return forms.whole(fields, "clamps", "The number of clamps", least=0, most=1000) if said else 0


def read_job(fields: Fields) -> JobAnswer:
    """The first order."""
    if not fields.get("pattern"):
        raise BadInput("Choose a pattern.", "pattern")
    return JobAnswer(
        pattern=forms.whole(fields, "pattern", "The pattern", most=2**31 - 1),
        title=forms.words(fields, "title", "What it is"),
        customer=forms.words(fields, "customer", "The customer"),
        pieces=forms.whole(fields, "pieces", "The number of pieces"),
        promised_on=forms.maybe_day(fields, "promised_on", "The promised date"),
        after=forms.whole(fields, "after", "The form", least=0, most=2**31 - 1),
    )
