"""A line of history → trade words: which thing, which of its sides, and the value in the shop's own units."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from shoptrack.engine.units import show_cents, show_share
from shoptrack.store.histories import Changed
from shoptrack.web.render import Wall, day, degrees, length, when
from shoptrack.web.shop.minutes import minutes_field, since_words

TOPICS: dict[str, tuple[str, ...]] = {
    "the shop": ("shop",),
    "people": ("people", "pins"),
    "working hours": ("weeks",),
    "days off": ("days_off",),
    "overtime": ("overtime",),
    "rooms": ("rooms", "room_temps"),
    "stations": ("stations",),
    "clamps": ("pools", "pool_counts"),
    "tools": ("tools", "edges"),
    "kinds of edge": ("edge_kinds",),
    "woods and materials": ("materials", "material_wear", "material_prices"),
    "glues and finishes": ("recipes", "recipe_versions"),
    "kinds of stage": ("stage_kinds", "rules_of_thumb"),
    "rates": ("rates",),
    "terms of a quote": ("terms",),
    "what an hour costs": ("hour_costs",),
    "patterns": ("patterns", "pattern_revisions", "pattern_stages"),
    "jobs": (
        "jobs",
        "stages",
        "costs",
        "extras",
        "photos",
        "last_times",
        "log_answers",
        "awaited",
        "programs",
    ),
    "quotes": ("quotes",),
    "customers": ("customers",),
    "months": ("months",),
    "tablets": ("devices", "pairings", "feed"),
}
"""What the lines are chosen by, with the tables of each."""
_TOPIC = {table: topic for topic, tables in TOPICS.items() for table in tables}
_FIELDS = {
    "holidays_of": "holidays of",
    "clock_24h": "24-hour clock",
    "person_id": "person",
    "room_id": "room",
    "station_id": "station",
    "customer_id": "customer",
    "setup_min": "set-up",
    "rate_min": "time for each",
    "cents_per_h": "an hour",
    "paid_h": "paid hours",
    "cents": "price",
    "factor": "wear",
    "warmth_c": "usual warmth",
    "turned_down_why": "reason",
    "weigh_quotes_bp": "chance of a quote that is out",
    "places": "room for",
    "through_cure": "work stays until it may be worked on",
    "hands_at_min": "needs hands at",
    "dwell_unit": "unit of a dwell",
    "knows_70_71": "takes G70 and G71 as units",
    "rapids_mm": "rapids, a minute",
    "tool_change_s": "seconds a tool change takes",
    "removed_at": "taken out",
    "retired_at": "retired",
    "made": "added",
    "kind_id": "kind",
    "flute_mm": "length of the cutting edge",
    "usual_life_h": "usual life, hours",
    "renewed": "made sharp again",
    "away_days": "days away",
    "renew_cents": "cost of a sharpening",
    "dull_cents": "cost of a dull edge",
    "most_renewals": "most sharpenings",
    "starting": "starting value",
}
_UNITS = ("_mm", "_cents", "_min", "_at", "_on", "_bp", "_c", "_h", "_id")


@dataclass(frozen=True, slots=True)
class Told:
    """A line of history in words."""

    at: datetime
    who: str
    topic: str
    name: str
    field: str
    before: str
    after: str
    since: str
    why: str
    simple: str


def tell(changed: Sequence[Changed], now: datetime, wall: Wall) -> tuple[Told, ...]:
    """Lines of history in the shop's own words; ``simple`` where one word says it all: added, retired."""
    return tuple(_told(change, now, wall) for change in changed)


def _told(change: Changed, now: datetime, wall: Wall) -> Told:
    return Told(
        at=change.at,
        who=change.who or "",
        topic=topic_of(change.table),
        name=change.name,
        field=field_words(change.field),
        before=value_words(change.field, change.before, now, wall),
        after=value_words(change.field, change.after, now, wall),
        since=_since(change, now, wall),
        why=change.why or "",
        simple=_simple(change),
    )


def _simple(change: Changed) -> str:
    if change.field == "made":
        return "added"
    if change.field == "taken back":
        return f"taken back: {change.before}"
    if change.field == "retired_at":
        return "retired" if change.after else "brought back"
    return ""


def topic_of(table: str) -> str:
    """What a table's lines are chosen by: its topic, else its own name in plain letters."""
    return _TOPIC.get(table, table.replace("_", " "))


def field_words(field: str) -> str:
    """A side of a thing as makers say it."""
    if field in _FIELDS:
        return _FIELDS[field]
    for unit in _UNITS:
        field = field.removesuffix(unit)
    return field.replace("_", " ")


def _since(change: Changed, now: datetime, wall: Wall) -> str:
    """From when on the value counts: "from Thu 3 Dec"; nothing where it counts from the change itself."""
    if change.since is None or change.since == change.at:
        return ""
    return f"from {since_words(change.since, now, wall)}"


def value_words(field: str, value: Any, now: datetime, wall: Wall) -> str:
    """A value as the page shows it: lengths, warmth, money and minutes in the shop's own units."""
    if value is None and field == "on_jobs_bp":
        return "nothing typed"
    if value is None and field == "weigh_quotes_bp":
        return "not counted"
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return _text_words(field, value, now, wall)
    if field == "hands_at_min" and isinstance(value, list):
        return ", ".join(f"{minute:g} min" for minute in value)
    if field == "version" and isinstance(value, list):
        return _version_words(value)
    if field == "warmth_c" and isinstance(value, list):
        return _year_words(value, wall)
    return _number_words(field, value, wall)


def _number_words(field: str, value: Any, wall: Wall) -> str:
    if not isinstance(value, int | float):
        return str(value)
    if field.endswith("_mm"):
        return length(value, wall)
    if field.endswith("_c"):
        return degrees(value, wall)
    if field.endswith("_bp"):
        return show_share(value)
    if "cents" in field:
        return show_cents(value, wall.currency)
    return minutes_field(value) if field.endswith("_min") else f"{value:g}"


def _text_words(field: str, value: str, now: datetime, wall: Wall) -> str:
    """An instant or a day as makers say it, other words as they are."""
    try:
        if field.endswith("_at"):
            return when(datetime.fromisoformat(value), now, wall)
        if field.endswith("_on"):
            return day(date.fromisoformat(value), now, wall)
    except (ValueError, TypeError):
        return value
    return value


def _version_words(value: list[Any]) -> str:
    """The marks of a version in one line."""
    said = []
    for role, joint, begins, ends, *_ in (mark for mark in value[1:] if isinstance(mark, list)):
        span = f" {minutes_field(begins)}" if begins is not None else ""
        span += f" until {minutes_field(ends)}" if ends is not None else ""
        said.append(f"{role}{f' ({joint})' if joint else ''}{span}")
    return ", ".join(said)


def _year_words(value: list[Any], wall: Wall) -> str:
    """Twelve months heated and not, as their spans."""
    words = []
    for side, name in ((0, "heated"), (1, "unheated")):
        numbers = [month[side] for month in value]
        low, high = degrees(min(numbers), wall), degrees(max(numbers), wall)
        words.append(f"{low if low == high else f'{low} to {high}'} {name}")
    return ", ".join(words)
