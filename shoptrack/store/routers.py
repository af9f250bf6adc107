"""How a station reads machine programs, which tool a number means there, and the runs that teach its pace."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Literal, cast

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.edits import note_change
from shoptrack.store.tables import (
    ProgramRow,
    RouterRow,
    RouterToolRow,
    RuleRow,
    StageRow,
    StationRow,
    TallyRow,
    ToolRow,
)

DwellUnit = Literal["seconds", "milliseconds"]
StartsIn = Literal["mm", "inch"]
NEWEST_RUNS = 400
"""So many runs of all routers are looked at, the newest: belts wear, and machines are tuned."""
RAPID_MM_MIN = 5000.0
TOOL_CHANGE_S = 60.0
"""Starting values of a router that nobody has said more of: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Router:
    """How programs of a station are read; ``starting``: nobody in the shop has said so yet."""

    dwell_unit: DwellUnit = "seconds"
    starts_in: StartsIn = "mm"
    knows_70_71: bool = False
    rapid_mm_min: float = RAPID_MM_MIN
    tool_change_s: float = TOOL_CHANGE_S
    starting: bool = True


@dataclass(frozen=True, slots=True)
class Ran:
    """A finished pass whose stage had programs of one router: what the machine took, and what they said.

    ``setup_min`` is the set-up of its kind by rule of thumb, in which the machine's minutes begin.
    """

    machine_min: float
    program_min: float
    setup_min: float


_TOLD_AS = {"rapid_mm_min": "rapids_mm"}
"""What a column is called in a line of history, where its name ends otherwise than its value is written."""
_SAID = tuple(name for name in asdict(Router()) if name != "starting")


def router_of(session: Session, station: int | None) -> Router:
    """How programs of a station are read; starting values where nobody said it, or of no station."""
    row = None if station is None else session.get(RouterRow, station)
    if row is None:
        return Router()
    return Router(
        dwell_unit=cast(DwellUnit, row.dwell_unit),
        starts_in=cast(StartsIn, row.starts_in),
        knows_70_71=row.knows_70_71,
        rapid_mm_min=row.rapid_mm_min,
        tool_change_s=row.tool_change_s,
        starting=False,
    )


def say_router(session: Session, station: int, said: Router, who: int | None, now: datetime) -> bool:
    """Say how programs of a station are read; each change leaves a line in the station's history.

    Gives whether anything changed. Raises BadInput for a rate that no router can have, NotFound.
    """
    if said.rapid_mm_min <= 0:
        raise BadInput("The rapid rate must be above nought.", "rapid")
    if said.tool_change_s < 0:
        raise BadInput("A tool change can’t take less than nothing.", "change")
    owner = station_row(session, station)
    was = router_of(session, station)
    row = session.get(RouterRow, station) or RouterRow(station_id=station)
    for name in _SAID:
        before, after = getattr(was, name), getattr(said, name)
        setattr(row, name, after)
        if before != after or was.starting:
            field = _TOLD_AS.get(name, name)
            note_change(session, owner, who, now, field, None if was.starting else before, after)
    session.add(row)
    session.flush()
    return was.starting or was != Router(**{**asdict(said), "starting": False})


def station_row(session: Session, station: int) -> StationRow:
    """One station. Raises NotFound."""
    row = session.get(StationRow, station)
    if row is None:
        raise NotFound("There is no such station.")
    return row


def remembered_tools(session: Session, station: int | None) -> dict[tuple[int, str], int]:
    """Which of the shop's tools each number and label of a router's programs means; none that is retired."""
    chosen = (
        select(RouterToolRow)
        .join(ToolRow, ToolRow.id == RouterToolRow.tool_id)
        .where(RouterToolRow.station_id == station, ToolRow.retired_at.is_(None))
    )
    return {(row.number, row.label): row.tool_id for row in session.scalars(chosen)}


def remember_tools(session: Session, station: int, means: Mapping[tuple[int, str], int | None]) -> None:
    """Remember what numbers mean in the programs of a router; None: it is forgotten."""
    for (number, label), tool in means.items():
        row = session.get(RouterToolRow, (station, number, label))
        if tool is None:
            if row is not None:
                session.delete(row)
        elif row is None:
            session.add(RouterToolRow(station_id=station, number=number, label=label, tool_id=tool))
        else:
            row.tool_id = tool
    session.flush()


def runs_by_router(session: Session) -> dict[int, tuple[Ran, ...]]:
    """Of each router the newest finished passes that teach, oldest first, of stages with programs of it.

    Only first passes: what is made again is a part of a program. Done together with others a machine's
    minutes are not the program's alone, and a program that was attached after the run may not be what ran:
    those are left out too.
    """
    own = select(ProgramRow.id).where(
        ProgramRow.stage_id == TallyRow.stage_id, ProgramRow.removed_at.is_(None)
    )
    chosen = (
        select(TallyRow.stage_id, TallyRow.machine_min, TallyRow.finished_at, StageRow.kind_id)
        .join(StageRow, StageRow.id == TallyRow.stage_id)
        .where(
            TallyRow.finished_at.is_not(None),
            TallyRow.teaches,
            TallyRow.redo == 0,
            TallyRow.machine_min > 0,
            TallyRow.together == "",
            own.exists(),
            ~own.where(ProgramRow.added_at > TallyRow.finished_at).exists(),
        )
        .order_by(TallyRow.finished_at.desc(), TallyRow.stage_id.desc())
    )
    rows = session.execute(chosen.limit(NEWEST_RUNS)).all()[::-1]
    minutes = program_min_by_stage(session, {row.stage_id for row in rows})
    setups = _setups(session, {row.kind_id for row in rows})
    found: dict[int, list[Ran]] = {}
    for row in rows:
        station, program_min = minutes[row.stage_id]
        setup = _in_force(setups.get(row.kind_id, ()), row.finished_at)
        if station is not None and program_min > 0:
            found.setdefault(station, []).append(Ran(row.machine_min, program_min, setup))
    return {station: tuple(ran) for station, ran in found.items()}


def program_min_by_stage(session: Session, stages: Collection[int]) -> dict[int, tuple[int | None, float]]:
    """Of those of some stages that have programs the router they were read for, and their minutes in all.

    A stage whose programs were read for several routers has none.
    """
    row = ProgramRow
    chosen = select(row.stage_id, row.station_id, row.total_min).where(
        row.stage_id.in_(stages), row.removed_at.is_(None)
    )
    found: dict[int, tuple[int | None, float]] = {}
    for stage, station, total_min in session.execute(chosen.order_by(row.id)):
        of, before_min = found.get(stage, (station, 0.0))
        found[stage] = (of if of == station else None, before_min + total_min)
    return found


Setups = Sequence[tuple[datetime, float]]


def _setups(session: Session, kinds: set[int]) -> dict[int, Setups]:
    found: dict[int, list[tuple[datetime, float]]] = {}
    for row in session.scalars(select(RuleRow).where(RuleRow.kind_id.in_(kinds)).order_by(RuleRow.from_at)):
        found.setdefault(row.kind_id, []).append((row.from_at, row.setup_min))
    return dict(found)


def _in_force(said: Setups, at: datetime) -> float:
    """The set-up that counted at an instant; the first holds before its day too."""
    past = [setup for from_at, setup in said if from_at <= at]
    return past[-1] if past else (said[0][1] if said else 0.0)
