"""The first day's answers about stations, clamps, glues, finishes and kinds of stage, added once each."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime

from shoptrack.engine.shapes import Rule
from shoptrack.flows.first_day.starting_finishes import FINISHES
from shoptrack.flows.first_day.starting_glues import GLUES
from shoptrack.flows.first_day.starting_things import KINDS, StartingKind
from shoptrack.flows.first_day.steps import go_on
from shoptrack.store.db import Store
from shoptrack.store.edits import note_made
from shoptrack.store.recipes import list_recipes, make_recipe
from shoptrack.store.shop import (
    list_pools,
    list_stations,
    make_kind,
    make_pool,
    make_station,
)
from shoptrack.store.starting import kind_names

SAME_REACH_MM = 5  # two pools closer than that are the same clamps


@dataclass(frozen=True, slots=True)
class StationAnswer:
    """A machine or place: where it stands, whether it makes dust, and its limits in mm by column."""

    name: str
    room: int | None = None
    dust: bool = False
    limits_mm: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PoolAnswer:
    """So many clamps of one reach."""

    name: str
    reach_mm: int
    owned: int


@dataclass(frozen=True, slots=True)
class KindAnswer:
    """A kind of stage with its measure and rule of thumb; ``starting``: the rule is still the usual one."""

    kind: StartingKind
    unit: str
    rule: Rule
    starting: bool


def save_stations(
    store: Store, said: Collection[StationAnswer], who: int | None, now: datetime
) -> str | None:
    """Add the stations whose names are not there yet; gives the next step."""
    with store.writing() as session:
        there = {s.name.casefold() for s in list_stations(session)}
        for one in said:
            if one.name.casefold() in there:
                continue
            there.add(one.name.casefold())
            made = make_station(session, one.name, room=one.room, makes_dust=one.dust, **one.limits_mm)
            note_made(session, made, who, now)
        return go_on(session, "stations")


def save_clamps(store: Store, said: Collection[PoolAnswer], who: int | None, now: datetime) -> str | None:
    """Add the pools of a reach that is not there yet; gives the next step. None owned: no pool."""
    with store.writing() as session:
        reaches = [p.reach_mm for p in list_pools(session)]
        for one in said:
            if not one.owned or any(abs(one.reach_mm - r) < SAME_REACH_MM for r in reaches):
                continue
            reaches.append(one.reach_mm)
            made = make_pool(session, one.name, reach_mm=one.reach_mm, owned=one.owned, from_at=now)
            note_made(session, made, who, now)
        return go_on(session, "clamps")


def save_recipes(store: Store, names: Collection[str], who: int | None, now: datetime) -> str | None:
    """Add the usual glues and finishes that are named and not there yet, marked as starting values.

    Gives the next step.
    """
    with store.writing() as session:
        there = {r.name.casefold() for r in list_recipes(session)}
        for one in (*GLUES, *FINISHES):
            if one.name in names and one.name.casefold() not in there:
                made = make_recipe(
                    session, one.name, kind=one.kind, from_at=now, spec=one.spec(), starting=True
                )
                note_made(session, made, who, now)
        return go_on(session, "recipes")


def save_kinds(store: Store, said: Collection[KindAnswer], who: int | None, now: datetime) -> str | None:
    """Add the kinds of stage that are not there yet, in the order of the work; gives the next step."""
    with store.writing() as session:
        there = set(kind_names(session))
        for one in said:
            if one.kind.name.casefold() in there:
                continue
            there.add(one.kind.name.casefold())
            made = make_kind(
                session,
                one.kind.name,
                unit=one.unit,
                rule=one.rule,
                from_at=now,
                attendance=one.kind.attendance,
                interruption=one.kind.interruption,
                dusty=one.kind.dusty,
                caution=one.kind.caution,
                position=KINDS.index(one.kind),
                starting=one.starting,
            )
            note_made(session, made, who, now)
        return go_on(session, "kinds")
