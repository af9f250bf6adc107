"""The shop so far → what each step of the first day shows as there already, and what it still offers."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Rule
from shoptrack.flows.first_day.currencies import listed_currencies
from shoptrack.flows.first_day.shop import ShopAnswers, answers_of
from shoptrack.flows.first_day.starting import StartingRecipe
from shoptrack.flows.first_day.starting_finishes import FINISHES
from shoptrack.flows.first_day.starting_glues import GLUES
from shoptrack.flows.first_day.starting_things import (
    BED_LONG,
    BED_WIDE,
    FIRST_PATTERN,
    INCH_MM,
    KINDS,
    REACHES,
    ROOMS,
    SHORTEST,
    STATIONS,
    WIDEST,
    LengthUnit,
    StartingRoom,
)
from shoptrack.flows.first_day.things import SAME_REACH_MM
from shoptrack.flows.first_day.work import STARTING
from shoptrack.store.hours import Spans, weeks_of
from shoptrack.store.jobs import newest_job
from shoptrack.store.patterns import list_patterns
from shoptrack.store.recipes import list_recipes
from shoptrack.store.shop import (
    find_shop,
    list_kinds,
    list_people,
    list_pools,
    list_rooms,
    list_stations,
    shop_row,
)
from shoptrack.store.starting import kind_names
from shoptrack.store.zones import zones_by_area

LIMITS = {
    WIDEST: "widest work",
    SHORTEST: "shortest work",
    BED_LONG: "bed, length",
    BED_WIDE: "bed, width",
}
"""The limits of a station with the words for each."""

ROWS = 10
"""How many stages the form of a first pattern has room for."""

Named = tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class ShopOffer:
    """The first step: what its form is filled with, and the lists to choose from.

    ``week`` are the spans of each day, Monday first, where one working day can't say them. ``empty``: there
    is no shop yet, so a whole one can be brought in.
    """

    answers: ShopAnswers
    zones: tuple[tuple[str, tuple[str, ...]], ...]
    currencies: tuple[tuple[str, str], ...]
    week: tuple[Spans, ...]
    empty: bool


@dataclass(frozen=True, slots=True)
class PeopleOffer:
    """Who is written down already."""

    there: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RoomsOffer:
    """The rooms that are there, and the usual ones that are not."""

    there: tuple[str, ...]
    offered: tuple[StartingRoom, ...]


@dataclass(frozen=True, slots=True)
class OfferedStation:
    """A usual station with its limits: column, words and mm."""

    name: str
    limits: tuple[tuple[str, str, float], ...]
    dust: bool
    usual: bool


@dataclass(frozen=True, slots=True)
class StationsOffer:
    """The stations that are there, the usual ones that are not, and the rooms one may stand in."""

    there: tuple[str, ...]
    offered: tuple[OfferedStation, ...]
    rooms: Named


@dataclass(frozen=True, slots=True)
class ClampsOffer:
    """The pools that are there, and the usual reaches (mm, how many to begin with) that are not."""

    there: tuple[str, ...]
    offered: tuple[tuple[float, int], ...]


@dataclass(frozen=True, slots=True)
class RecipesOffer:
    """The glues and finishes that are there, and the usual ones that are not."""

    there: tuple[str, ...]
    glues: tuple[StartingRecipe, ...]
    finishes: tuple[StartingRecipe, ...]


@dataclass(frozen=True, slots=True)
class OfferedKind:
    """A usual kind of stage with the measure and rule of thumb for this shop's unit of length."""

    name: str
    unit: str
    rule: Rule
    rests: bool


@dataclass(frozen=True, slots=True)
class KindsOffer:
    """The kinds of stage that are there, and the usual ones that never were."""

    there: tuple[str, ...]
    offered: tuple[OfferedKind, ...]


@dataclass(frozen=True, slots=True)
class PatternOffer:
    """The patterns that are there, what one may be made of, and the rows to begin with.

    ``rows`` are (kind, amount), both empty on a row that is free.
    """

    there: tuple[str, ...]
    kinds: Named
    rows: tuple[tuple[int | None, float | None], ...]
    glues: Named
    finishes: Named
    pools: Named
    likely_pool: int | None


@dataclass(frozen=True, slots=True)
class JobOffer:
    """The patterns a job may be made from, and the newest job so far (0: none)."""

    patterns: Named
    after: int


Offer = (
    ShopOffer | PeopleOffer | RoomsOffer | StationsOffer | ClampsOffer | RecipesOffer | KindsOffer
    | PatternOffer | JobOffer
)  # fmt: skip


def offer_shop(session: Session, zone: str) -> ShopOffer:
    """What the first step shows. Takes the machine's zone."""
    answers = answers_of(session, zone)
    week = weeks_of(session, None)[-1].days if answers.hours is None else ()
    zones = tuple(zones_by_area(answers.zone).items())
    return ShopOffer(answers, zones, listed_currencies(), week, find_shop(session) is None)


def offer_people(session: Session) -> PeopleOffer:
    """What the step of the people shows."""
    return PeopleOffer(tuple(p.name for p in list_people(session)))


def offer_rooms(session: Session) -> RoomsOffer:
    """What the step of the rooms shows; once there is a room, none is ticked by itself."""
    there = tuple(r.name for r in list_rooms(session))
    return RoomsOffer(there, tuple(r for r in ROOMS if r.name not in there))


def offer_stations(session: Session) -> StationsOffer:
    """What the step of the stations shows."""
    there, unit = tuple(s.name for s in list_stations(session)), _unit(session)
    offered = tuple(
        OfferedStation(
            s.name,
            tuple((column, LIMITS[column], mm) for column, mm in s.limits_mm(unit).items()),
            s.dust,
            s.usual and not there,
        )
        for s in STATIONS
        if s.name not in there
    )
    return StationsOffer(there, offered, tuple((r.id, r.name) for r in list_rooms(session)))


def offer_clamps(session: Session) -> ClampsOffer:
    """What the step of the clamps shows; once there are clamps, no more are counted by themselves."""
    pools, unit = list_pools(session), _unit(session)
    reaches = [(inches * INCH_MM if unit == "in" else mm, count) for inches, mm, count in REACHES]
    return ClampsOffer(
        tuple(p.name for p in pools),
        tuple(
            (mm, 0 if pools else count)
            for mm, count in reaches
            if all(abs(mm - p.reach_mm) >= SAME_REACH_MM for p in pools)
        ),
    )


def offer_recipes(session: Session) -> RecipesOffer:
    """What the step of the glues and finishes shows."""
    there = tuple(r.name for r in list_recipes(session))
    return RecipesOffer(
        there,
        tuple(g for g in GLUES if g.name not in there),
        tuple(f for f in FINISHES if f.name not in there),
    )


def offer_kinds(session: Session) -> KindsOffer:
    """What the step of the kinds of stage shows."""
    taken, unit = kind_names(session), _unit(session)
    offered = []
    for kind in KINDS:
        if kind.name.casefold() not in taken:
            measure, rule, _ = kind.in_unit(unit)
            offered.append(OfferedKind(kind.name, measure, rule, kind.attendance == "none"))
    return KindsOffer(tuple(k.name for k in list_kinds(session)), tuple(offered))


def offer_pattern(session: Session) -> PatternOffer:
    """What the step of the first pattern shows."""
    kinds = {k.name: k for k in list_kinds(session)}
    recipes, pools = list_recipes(session), list_pools(session)
    unit = _unit(session)
    rows: list[tuple[int | None, float | None]] = [
        (kinds[name].id, STARTING[name].in_unit(unit)[2]) for name in FIRST_PATTERN if name in kinds
    ]
    rows += [(None, None)] * (ROWS - len(rows))
    likely = min(pools, key=lambda p: abs(p.reach_mm - 600), default=None)
    return PatternOffer(
        there=tuple(p.name for p in list_patterns(session)),
        kinds=tuple((k.id, f"{k.name}, {k.unit}") for k in kinds.values()),
        rows=tuple(rows),
        glues=tuple((r.id, r.name) for r in recipes if r.kind == "glue"),
        finishes=tuple((r.id, r.name) for r in recipes if r.kind == "finish"),
        pools=tuple((p.id, p.name) for p in pools),
        likely_pool=likely.id if likely else None,
    )


def offer_job(session: Session) -> JobOffer:
    """What the step of the first job shows."""
    return JobOffer(tuple((p.id, p.name) for p in list_patterns(session)), newest_job(session))


def _unit(session: Session) -> LengthUnit:
    return "mm" if shop_row(session).length_unit == "mm" else "in"
