"""Passes that were begun → those without a prediction of a method, and the predictions that are kept."""

from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Select, and_, insert, select
from sqlalchemy.orm import Session

from shoptrack.store.shop import shop_zone
from shoptrack.store.tables import (
    JobRow,
    PastTimeRow,
    PatternRevisionRow,
    PredictionRow,
    StageKindRow,
    StageRow,
    TallyRow,
)

NOON = time(12)
EARLIEST = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Begun:
    """A pass that was begun, or a time from before the log, of which nothing is foretold yet.

    ``order`` is as in ``logs.Logged``. ``together``: the stages that it is done together with.
    """

    stage: int | None
    redo: int
    past_time: int | None
    kind: int
    pattern: int | None
    order: str
    started_at: datetime
    quantity: float
    together: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Kept:
    """What was foretold of a pass or a time from before the log, as it is stored."""

    stage_id: int | None
    redo: int
    past_time_id: int | None
    method: str
    started_at: datetime
    quantity: float
    df: float
    loc: float
    scale: float
    logs: int
    of_pattern: int
    later: bool
    made_at: datetime

    @property
    def key(self) -> str:
        """Which time it is of, as ``logs.Logged.key`` names it; of a redo no time has this."""
        if self.past_time_id is not None:
            return f"p{self.past_time_id}"
        return f"s{self.stage_id}" + (f" again {self.redo}" if self.redo else "")


def unsettled(session: Session, method: str, most: int, since: datetime = EARLIEST) -> list[Begun]:
    """The newest passes begun since an instant that have no prediction of a method, then times from before.

    Takes how many at most. Rests are not among them, and nothing of which nothing is left.
    """
    zone = shop_zone(session)
    found = [_begun(row) for row in session.execute(_passes(method, most, since))]
    past = session.execute(_past(method, most - len(found))) if len(found) < most else ()
    return found + [_before_the_log(row, zone) for row in past]


def add_predictions(session: Session, rows: Sequence[Kept]) -> None:
    """Keep what was foretold. Raises IntegrityError where something is kept of one of them already."""
    if rows:
        session.execute(insert(PredictionRow), [asdict(row) for row in rows])


def kept_since(session: Session, method: str, after: int = 0) -> tuple[list[Kept], int]:
    """What was kept after a row, as it came, and the number of the last row; ``after`` again where none."""
    chosen = (
        select(PredictionRow.id, *_COLUMNS)
        .where(PredictionRow.id > after, PredictionRow.method == method)
        .order_by(PredictionRow.id)
    )
    rows = session.execute(chosen).all()
    return [Kept(*row[1:]) for row in rows], rows[-1].id if rows else after


def kept_of(session: Session, method: str, stages: Collection[int]) -> dict[int, Kept]:
    """What was foretold of the first passes of some stages, by stage."""
    if not stages:
        return {}
    chosen = select(*_COLUMNS).where(
        PredictionRow.stage_id.in_(stages), PredictionRow.redo == 0, PredictionRow.method == method
    )
    rows = [Kept(*row) for row in session.execute(chosen)]
    return {row.stage_id: row for row in rows if row.stage_id is not None}


def measures(session: Session, stages: Collection[int]) -> dict[int, tuple[int, int | None, float]]:
    """Of some stages the kind, the job's pattern and how much the first pass is of, where it was begun."""
    if not stages:
        return {}
    chosen = (
        select(StageRow.id, StageRow.kind_id, PatternRevisionRow.pattern_id, TallyRow.quantity)
        .join(TallyRow, and_(TallyRow.stage_id == StageRow.id, TallyRow.redo == 0))
        .join(JobRow, JobRow.id == StageRow.job_id)
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == JobRow.pattern_revision_id)
        .where(StageRow.id.in_(stages))
    )
    return {row.id: (row.kind_id, row.pattern_id, row.quantity) for row in session.execute(chosen)}


_COLUMNS = tuple(getattr(PredictionRow, name) for name in Kept.__dataclass_fields__)


def _passes(method: str, most: int, since: datetime) -> Select[*tuple[Any, ...]]:
    tally, told = TallyRow, PredictionRow
    known = and_(told.stage_id == tally.stage_id, told.redo == tally.redo, told.method == method)
    return (
        select(
            tally.stage_id,
            tally.redo,
            StageRow.kind_id,
            PatternRevisionRow.pattern_id,
            StageRow.job_id,
            tally.started_at,
            tally.quantity,
            tally.together,
        )
        .join(StageRow, StageRow.id == tally.stage_id)
        .join(StageKindRow, StageKindRow.id == StageRow.kind_id)
        .join(JobRow, JobRow.id == StageRow.job_id)
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == JobRow.pattern_revision_id)
        .outerjoin(told, known)
        .where(
            tally.started_at.is_not(None),
            tally.started_at >= since,
            tally.quantity > 0,
            StageRow.attendance != "none",
            StageKindRow.attendance != "none",
            told.id.is_(None),
        )
        .order_by(tally.started_at.desc(), tally.stage_id, tally.redo)
        .limit(most)
    )


def _past(method: str, most: int) -> Select[*tuple[Any, ...]]:
    past, told = PastTimeRow, PredictionRow
    return (
        select(past.id, past.kind_id, past.pattern_id, past.job, past.finished_on, past.quantity)
        .join(StageKindRow, StageKindRow.id == past.kind_id)
        .outerjoin(told, and_(told.past_time_id == past.id, told.method == method))
        .where(told.id.is_(None), past.quantity > 0, StageKindRow.attendance != "none")
        .order_by(past.finished_on.desc(), past.id)
        .limit(most)
    )


def _begun(row: Any) -> Begun:
    return Begun(
        stage=row.stage_id,
        redo=row.redo,
        past_time=None,
        kind=row.kind_id,
        pattern=row.pattern_id,
        order=f"j{row.job_id}",
        started_at=row.started_at,
        quantity=row.quantity,
        together=tuple(int(stage) for stage in row.together.split(",")) if row.together else (),
    )


def _before_the_log(row: Any, zone: ZoneInfo) -> Begun:
    return Begun(
        stage=None,
        redo=0,
        past_time=row.id,
        kind=row.kind_id,
        pattern=row.pattern_id,
        order=f"p{row.job}",
        started_at=datetime.combine(row.finished_on, NOON, zone).astimezone(UTC),
        quantity=row.quantity,
    )
