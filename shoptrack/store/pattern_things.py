"""All that the stages of a pattern may name, as the shop has it at an instant, with the limits of each."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import get_args

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.engine.feasible import Bounds, Limits, Owned
from shoptrack.engine.shapes import Dated, Joint, Rule, in_force
from shoptrack.store.gathered import recipe_lines
from shoptrack.store.narrowed import Narrower
from shoptrack.store.tables import (
    MaterialRow,
    PersonRow,
    PoolCountRow,
    PoolRow,
    RecipeRow,
    RoomRow,
    RuleRow,
    ShopRow,
    StageKindRow,
    StationRow,
    ToolRow,
)

JOINTS: tuple[Joint, ...] = get_args(Joint)


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing by its name; ``retired`` ones are named in old revisions and offered in no new one.

    ``is_a``: whether a recipe is a glue or a finish.
    """

    id: int
    name: str
    retired: bool
    is_a: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of stage with the unit of its measure and what a stage of it starts from."""

    id: int
    name: str
    retired: bool
    unit: str
    attendance: str
    interruption: str
    dusty: bool
    rule: Rule


@dataclass(frozen=True, slots=True)
class Things:
    """Kinds of stage, stations, rooms, recipes, clamps, tools and materials by id, and the shop's limits."""

    kinds: Mapping[int, Kind]
    stations: Mapping[int, Thing]
    rooms: Mapping[int, Thing]
    recipes: Mapping[int, Thing]
    pools: Mapping[int, Thing]
    tools: Mapping[int, Thing]
    materials: Mapping[int, Thing]
    limits: Limits


def things(session: Session, now: datetime) -> Things:
    """What there is at an instant, retired things included. Empty: an empty shop has no things."""
    return Things(
        kinds=_kinds(session, now),
        stations=_named(session, StationRow),
        rooms=_named(session, RoomRow),
        recipes=_named(session, RecipeRow),
        pools=_named(session, PoolRow),
        tools=_named(session, ToolRow),
        materials=_named(session, MaterialRow),
        limits=_limits(session, now),
    )


Named = StationRow | RoomRow | RecipeRow | PoolRow | ToolRow | MaterialRow


def _named(session: Session, table: type[Named]) -> Mapping[int, Thing]:
    first = [PoolRow.reach_mm] if table is PoolRow else []  # by name, 1200 mm would stand before 150 mm
    rows: list[Named] = list(session.scalars(select(table).order_by(*first, table.name, table.id)))
    return {
        row.id: Thing(
            row.id, row.name, row.retired_at is not None, row.kind if isinstance(row, RecipeRow) else ""
        )
        for row in rows
    }


def _kinds(session: Session, now: datetime) -> Mapping[int, Kind]:
    rules: dict[int, Dated[Rule]] = {}
    for rule in session.scalars(select(RuleRow).order_by(RuleRow.from_at)):
        this = (rule.from_at, Rule(rule.setup_min, rule.rate_min))
        rules[rule.kind_id] = (*rules.get(rule.kind_id, ()), this)
    rows = session.scalars(select(StageKindRow).order_by(StageKindRow.position, StageKindRow.id))
    return {
        row.id: Kind(
            row.id,
            row.name,
            row.retired_at is not None,
            row.unit,
            row.attendance,
            row.interruption,
            row.dusty,
            in_force(rules[row.id], now) if row.id in rules else Rule(0, 0),
        )
        for row in rows
    }


def _limits(session: Session, now: datetime) -> Limits:
    here = select(func.count()).select_from(PersonRow).where(PersonRow.retired_at.is_(None))
    shop = session.get(ShopRow, 1)
    return Limits(
        people=session.scalar(here) or 0,
        stations={row.id: _bounds(row) for row in session.scalars(select(StationRow))},
        pools=_pools(session, now),
        gate_min=_gates(session, now),
        length_unit="mm" if shop is not None and shop.length_unit == "mm" else "in",
    )


def _bounds(row: StationRow) -> Bounds:
    return Bounds(row.name, row.greatest_width_mm, row.least_length_mm, row.bed_length_mm, row.bed_width_mm)


def _pools(session: Session, now: datetime) -> dict[int, Owned]:
    counts: dict[int, Dated[int]] = {}
    for row in session.scalars(select(PoolCountRow).order_by(PoolCountRow.from_at)):
        counts[row.pool_id] = (*counts.get(row.pool_id, ()), (row.from_at, row.owned))
    return {
        pool.id: Owned(pool.name, pool.reach_mm, in_force(counts[pool.id], now))
        for pool in session.scalars(select(PoolRow).where(PoolRow.retired_at.is_(None)))
        if pool.id in counts
    }


def _gates(session: Session, now: datetime) -> dict[tuple[int, Joint | None], float]:
    narrower = Narrower(session.execute(recipe_lines()).all())
    found: dict[tuple[int, Joint | None], float] = {}
    for recipe in session.scalars(select(RecipeRow.id)):
        for joint in (*JOINTS, None):
            dated = narrower.for_joint(recipe, joint)
            marks = in_force(dated, now).marks if dated else ()
            found[recipe, joint] = max((m.from_min or 0.0 for m in marks if m.gates), default=0.0)
    return found
