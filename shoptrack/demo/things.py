"""Stations, clamps, tools, woods and kinds of stage of the invented shop, written into its database."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from shoptrack.demo.edges import write_rack
from shoptrack.demo.people import People, Rooms
from shoptrack.engine.shapes import Attendance, Interruption, Rule
from shoptrack.store import shop, tools

INCH_MM = 25.4

KINDS: tuple[tuple[str, str, Rule, Attendance, Interruption, bool, str], ...] = (
    ("drawing and programs", "drawings", Rule(20, 45), "hands-on", "any", False, ""),
    (
        "rough milling",
        "board feet",
        Rule(15, 1.6),
        "hands-on",
        "any",
        True,
        "Dust: collector on before the first board. A blade that burns or binds comes off, not later.",
    ),
    ("rest", "days", Rule(0, 24 * 60), "none", "any", False, ""),
    (
        "milling",
        "square feet",
        Rule(20, 5),
        "hands-on",
        "any",
        True,
        "Knives sharp and tight before the cut; dust collector on.",
    ),
    ("glue-up", "joints", Rule(15, 6), "hands-on", "none", False, ""),
    ("flattening", "square feet", Rule(12, 3), "hands-on", "any", True, "Dust: collector on, mask on."),
    ("test cut", "cuts", Rule(10, 12), "hands-on", "any", True, ""),
    (
        "carving",
        "cutting minutes",
        Rule(12, 1),
        "within earshot",
        "any",
        True,
        "The router runs only while somebody is within earshot. Fine dust can explode: empty the bin.",
    ),
    ("inlay", "inlays", Rule(15, 7), "hands-on", "none", False, ""),
    ("sanding", "square feet", Rule(8, 5), "hands-on", "any", True, "Fine dust: mask on, collector on."),
    ("finishing", "coats", Rule(10, 22), "hands-on", "none", False, ""),
    ("fitting", "pieces", Rule(15, 25), "hands-on", "any", False, ""),
    ("packing", "pieces", Rule(10, 12), "hands-on", "any", False, ""),
)
"""Name, unit, the shop's own rule of thumb, attendance, interruption, dusty, caution."""


@dataclass(frozen=True)
class Things:
    """Ids by name of what stages demand; ``edges`` are those of each tool."""

    stations: Mapping[str, int]
    pools: Mapping[str, int]
    tools: Mapping[str, int]
    edges: Mapping[str, Mapping[str, int]]
    woods: Mapping[str, int]
    kinds: Mapping[str, int]


def write_things(
    session: Session, rooms: Rooms, people: People, opened_at: datetime, now: datetime
) -> Things:
    """Everything that stands or hangs in the shop."""
    stations = _stations(session, rooms)
    rack = write_rack(session, stations, people.maren, opened_at)
    return Things(
        stations=stations,
        pools=_pools(session, opened_at, now),
        tools=rack.tools,
        edges=rack.edges,
        woods=_woods(session, opened_at),
        kinds=_kinds(session, opened_at, now),
    )


def _stations(session: Session, rooms: Rooms) -> dict[str, int]:
    machines, inch = rooms.machines, INCH_MM
    made = (
        shop.make_station(session, "table saw", room=machines, makes_dust=True, greatest_width_mm=30 * inch),
        shop.make_station(
            session,
            "jointer",
            room=machines,
            makes_dust=True,
            greatest_width_mm=8 * inch,
            least_length_mm=12 * inch,
        ),
        shop.make_station(
            session,
            "planer",
            room=machines,
            makes_dust=True,
            greatest_width_mm=15 * inch,
            least_length_mm=10 * inch,
        ),
        shop.make_station(session, "band saw", room=machines, makes_dust=True, greatest_width_mm=16 * inch),
        shop.make_station(
            session, "drum sander", room=machines, makes_dust=True, greatest_width_mm=25 * inch
        ),
        shop.make_station(
            session,
            "router table",
            room=machines,
            makes_dust=True,
            bed_length_mm=49 * inch,
            bed_width_mm=33 * inch,
        ),
        shop.make_station(session, "long bench", room=rooms.bench),
        shop.make_station(session, "window bench", room=rooms.bench),
        shop.make_station(session, "spray booth", room=rooms.finish),
    )
    return {row.name: row.id for row in made}


def _pools(session: Session, opened_at: datetime, now: datetime) -> dict[str, int]:
    sizes = (("12s", 305, 16), ("24s", 610, 14), ("36s", 915, 12), ("50s", 1270, 8))  # reach in inches
    rows = [
        shop.make_pool(session, name, reach_mm=reach, owned=owned, from_at=opened_at)
        for name, reach, owned in sizes
    ]
    shop.set_owned(session, rows[1].id, from_at=now - timedelta(days=190), owned=18)
    return {row.name: row.id for row in rows}


def _woods(session: Session, opened_at: datetime) -> dict[str, int]:
    wear = (("cherry", 1.0), ("ash", 1.15), ("elm", 1.2), ("sycamore", 1.05), ("bog oak", 1.6))
    rows = [tools.make_material(session, name, wear=factor, from_at=opened_at) for name, factor in wear]
    return {row.name: row.id for row in rows}


def _kinds(session: Session, opened_at: datetime, now: datetime) -> dict[str, int]:
    ids = {}
    for place, (name, unit, rule, attendance, interruption, dusty, caution) in enumerate(KINDS):
        row = shop.make_kind(
            session,
            name,
            unit=unit,
            rule=rule,
            from_at=opened_at,
            attendance=attendance,
            interruption=interruption,
            dusty=dusty,
            caution=caution,
            position=place,
        )
        ids[name] = row.id
    # the shop thought again about flattening once it had the drum sander
    shop.set_rule(session, ids["flattening"], from_at=now - timedelta(days=240), rule=Rule(12, 2.6))
    return ids
