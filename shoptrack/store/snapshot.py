"""Rows of the database become the frozen world that the engines read, in five queries."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import BindParameter, ColumnElement, Row, bindparam, or_, select, true
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import (
    Awaited,
    Calendar,
    ClampNeed,
    Dated,
    Edge,
    Job,
    Need,
    OffDays,
    Overtime,
    Person,
    Pin,
    Pool,
    Recipe,
    Room,
    RoomProfile,
    Rule,
    Stage,
    Station,
    Week,
    World,
)
from shoptrack.errors import NotSetUp
from shoptrack.store.gathered import (
    dated_facts,
    demands,
    named_things,
    recipe_lines,
    stage_lines,
)
from shoptrack.store.narrowed import Narrower
from shoptrack.store.tables import JobRow, StageRow
from shoptrack.store.waits import live_needs

Lines = Sequence[Row[*tuple[Any, ...]]]


def world(session: Session, stage_ids: Iterable[int] | None = None) -> World:
    """The shop as it was set up, with all open jobs and, whole, the jobs that have the given stages.

    Raises NotSetUp before the shop is set up.
    """
    wanted: ColumnElement[bool] = JobRow.closed_at.is_(None)
    if ids := set(stage_ids or ()):
        wanted = or_(wanted, _have(ids))
    return _world_of(session, wanted)


def world_around(session: Session, stage_ids: Iterable[int]) -> World:
    """The shop as it was set up, with the jobs that have the given stages and no others. Raises NotSetUp."""
    return _world_of(session, _have(set(stage_ids)))


def _have(stage_ids: Collection[int]) -> ColumnElement[bool]:
    # written out, not bound: there may be more of them than a statement takes parameters
    ids: BindParameter[Any] = bindparam("these", sorted(stage_ids), expanding=True, literal_execute=True)
    return JobRow.id.in_(select(StageRow.job_id).where(StageRow.id.in_(ids)))


def whole_world(session: Session) -> World:
    """The shop as it was set up, with every job there ever was. Raises NotSetUp before it is set up."""
    return _world_of(session, true())


def _world_of(session: Session, wanted: ColumnElement[bool]) -> World:
    named = _by_first(session.execute(named_things()).all())
    if not named["shop"]:
        raise NotSetUp("The shop isn't set up yet.")
    dated = _by_first(session.execute(dated_facts()).all())
    lines = session.execute(stage_lines(wanted)).all()
    demanded = session.execute(demands(wanted)).all()
    by_day = _by_first(demanded)
    stages = _Stages(
        _by_stage(demanded),
        frozenset(line.id for line in lines if line.id is not None and line.removed_at is None),
        _rules(dated["rule"]),
        Narrower(session.execute(recipe_lines()).all()),
    )
    return World(
        calendar=_calendar(named["shop"][0].name, dated["week"], dated["off"], dated["overtime"]),
        people=_people(named["person"], named["never"]),
        jobs={line.job_id: _job(line) for line in lines},
        stages={line.id: stages.of(line) for line in lines if line.id is not None},
        stations={s.id: _station(s) for s in named["station"]},
        pools=_pools(named["pool"], dated["owned"]),
        rooms=_rooms(named["room"], dated["warmth"]),
        tools={t.id: t.name for t in named["tool"]},
        edges={e.id: Edge(e.id, e.number, e.name) for e in named["edge"]},
        wears=_wears(dated["wear"]),
        awaited=tuple(sorted(map(_awaited, by_day["awaited"]), key=lambda each: each.id)),
        pins={line.stage_id: Pin(line.stage_id, line.day_on, line.number) for line in by_day["pin"]},
    )


def _by_first(rows: Lines) -> Mapping[str, list[Any]]:
    by: dict[str, list[Any]] = defaultdict(list)
    for row in rows:
        by[row[0]].append(row)
    return by


def _by_stage(rows: Lines) -> Mapping[tuple[str, int], list[Any]]:
    by: dict[tuple[str, int], list[Any]] = defaultdict(list)
    for row in rows:
        by[row.what, row.stage_id].append(row)
    return by


def _job(line: Any) -> Job:
    return Job(
        id=line.job_id,
        tag=line.tag,
        title=line.title,
        customer=line.customer,
        pieces=line.pieces,
        promised_on=line.promised_on,
        must_keep=line.must_keep,
        added_at=line.added_at,
        closed_at=line.closed_at,
        pattern=line.pattern_id,
    )


@dataclass(frozen=True)
class _Stages:
    """What belongs to the stages, at hand to put each together."""

    demands: Mapping[tuple[str, int], list[Any]]
    live: frozenset[int]
    rules: Mapping[int, Dated[Rule]]
    recipes: Narrower

    def of(self, line: Any) -> Stage:
        """The stage of one line."""
        return Stage(
            id=line.id,
            job=line.job_id,
            position=line.position,
            kind=line.kind,
            name=line.name,
            unit=line.unit,
            quantity=line.quantity,
            rule=self.rules.get(line.kind_id, ()),
            attendance=line.attendance,
            interruption=line.interruption,
            rounds=line.rounds,
            needs=self._needs(line.id),
            station=line.station_id,
            room=line.room_id,
            clamps=self._clamps(line.id),
            tools=tuple(row.other for row in self._rows("tool", line.id)),
            shares=tuple(row.a for row in self._rows("tool", line.id)),
            recipes=self._recipes(line),
            people=line.people,
            dusty=line.dusty,
            hands_at_min=tuple(line.hands_at_min or ()),
            settings=line.settings,
            caution=line.caution or line.kind_caution,
            removed=line.removed_at is not None,
            kind_id=line.kind_id,
            material=line.material_id,
        )

    def _rows(self, what: str, stage: int) -> list[Any]:
        return self.demands.get((what, stage), [])

    def _needs(self, stage: int) -> tuple[Need, ...]:
        own = {r.other: Need(r.other, r.flag, r.a, r.b) for r in self._rows("need", stage)}
        return live_needs(own, self.live, self._needs)

    def _clamps(self, stage: int) -> tuple[ClampNeed, ...]:
        return tuple(ClampNeed(r.other, r.number, r.flag) for r in self._rows("clamp", stage))

    def _recipes(self, line: Any) -> Dated[Recipe]:
        return () if line.recipe_id is None else self.recipes.for_joint(line.recipe_id, line.joint)


def _people(people: list[Any], never: list[Any]) -> Mapping[int, Person]:
    not_theirs: dict[int, set[int]] = defaultdict(set)
    for line in never:
        not_theirs[line.id].add(line.number)
    return {p.id: Person(p.id, p.name, p.flag, frozenset(not_theirs[p.id])) for p in people}


def _station(line: Any) -> Station:
    return Station(
        id=line.id,
        name=line.name,
        room=line.number,
        makes_dust=line.flag,
        places=line.places,
        through_cure=line.stays,
    )


def _awaited(line: Any) -> Awaited:
    return Awaited(
        id=line.number,
        job=line.other,
        what=line.words,
        before=line.stage_id,
        agreed_on=line.agreed_on,
        expected_on=line.day_on,
        came_on=line.came_on,
    )


def _rules(rows: list[Any]) -> Mapping[int, Dated[Rule]]:
    by: dict[int, Dated[Rule]] = {}
    for row in rows:
        by[row.owner] = (*by.get(row.owner, ()), (row.from_at, Rule(row.a, row.b)))
    return by


def _wears(rows: list[Any]) -> Mapping[int, Dated[float]]:
    by: dict[int, Dated[float]] = {}
    for row in rows:
        by[row.owner] = (*by.get(row.owner, ()), (row.from_at, row.a))
    return by


def _pools(things: list[Any], counts: list[Any]) -> Mapping[int, Pool]:
    owned: dict[int, Dated[int]] = {}
    for row in counts:
        owned[row.owner] = (*owned.get(row.owner, ()), (row.from_at, row.number))
    return {p.id: Pool(p.id, p.name, p.number, owned.get(p.id, ())) for p in things}


def _rooms(things: list[Any], months: list[Any]) -> Mapping[int, Room]:
    by: dict[int, dict[Any, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for row in months:
        by[row.owner][row.from_at].append(row)
    profiles = {
        room: tuple((from_at, _profile(rows)) for from_at, rows in sorted(versions.items()))
        for room, versions in by.items()
    }
    return {r.id: Room(r.id, r.name, profiles.get(r.id, ())) for r in things}


def _profile(months: list[Any]) -> RoomProfile:
    rows = sorted(months, key=lambda row: int(row.number))
    return RoomProfile(
        heated_c=tuple(row.a for row in rows),
        unheated_c=tuple(row.b for row in rows),
        heated_from=rows[0].opens,
        heated_until=rows[0].closes,
    )


def _calendar(zone: str, weeks: list[Any], off: list[Any], overtime: list[Any]) -> Calendar:
    spans: dict[int | None, dict[Any, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for row in weeks:
        spans[row.owner][row.from_on].append(row)
    dated = {
        person: tuple(Week(from_on, _days(rows)) for from_on, rows in sorted(by_date.items()))
        for person, by_date in spans.items()
    }
    return Calendar(
        zone=zone,
        shop=dated.pop(None, ()),
        people={person: own for person, own in dated.items() if person is not None},
        off=tuple(OffDays(row.owner, row.from_on, row.until_on) for row in off),
        overtime=tuple(Overtime(row.owner, row.from_on, row.opens, row.closes) for row in overtime),
    )


def _days(rows: list[Any]) -> tuple[tuple[tuple[Any, Any], ...], ...]:
    worked = [row for row in rows if row.opens is not None]
    return tuple(
        tuple(sorted((row.opens, row.closes) for row in worked if row.number == day)) for day in range(7)
    )
