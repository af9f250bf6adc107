"""Finished stages, from the tally and from before the log, to the times that teach; oldest first."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.store.shop import find_shop
from shoptrack.store.tables import (
    JobRow,
    LogAnswerRow,
    PastTimeRow,
    PatternRevisionRow,
    StageRow,
    TallyRow,
)

_NOON = time(12)


@dataclass(frozen=True, slots=True)
class Logged:
    """A finished stage as it teaches, or several of one kind that were done together as one.

    ``key`` names it on forms: "s" and the stage, or "p" and the past time. ``order`` is what tells one order
    from another; ``job`` None: it is from before the log. ``counts``: a person's word on it. Minutes may be
    nought: a machine without hands, or hands without a machine.
    """

    key: str
    kind: int
    pattern: int | None
    order: str
    job: int | None
    stage: int | None
    past_time: int | None
    name: str
    started_at: datetime | None
    finished_at: datetime
    quantity: float
    hands_min: float
    machine_min: float
    counts: bool | None = None
    together: str = ""

    @property
    def imported(self) -> bool:
        """Whether it was brought in from before the log."""
        return self.past_time is not None


def logged(session: Session) -> list[Logged]:
    """Every time that teaches, oldest first. Empty: nothing was finished yet.

    Passes that don't teach (done again, no start, not answered) are not here; see ``Pass.why_not``.
    """
    said = {_answer_key(row): row.counts for row in session.execute(_answers())}
    found = [*_of_tally(session), *_of_past(session)]
    found = [replace(one, counts=said[one.key]) if one.key in said else one for one in found]
    return sorted(found, key=lambda one: (one.finished_at, one.key))


def mark(session: Session) -> tuple[Any, ...]:
    """What changes when the times do: how many there are, and their sums."""
    tally = select(
        func.count(),
        func.total(TallyRow.attended_min),
        func.total(TallyRow.machine_min),
        func.total(TallyRow.quantity),
        func.max(TallyRow.finished_at),
    ).where(TallyRow.teaches)
    past = select(func.count(), func.total(PastTimeRow.minutes))
    answers = select(func.count(), func.total(LogAnswerRow.counts), func.max(LogAnswerRow.said_at))
    return tuple(value for chosen in (tally, past, answers) for value in session.execute(chosen).one())


def _answers() -> Any:
    return select(LogAnswerRow.stage_id, LogAnswerRow.past_time_id, LogAnswerRow.counts)


def _answer_key(row: Any) -> str:
    return f"s{row.stage_id}" if row.stage_id is not None else f"p{row.past_time_id}"


def _of_tally(session: Session) -> list[Logged]:
    tally = TallyRow
    chosen = (
        select(
            tally.stage_id,
            StageRow.kind_id,
            PatternRevisionRow.pattern_id,
            StageRow.job_id,
            StageRow.name,
            tally.started_at,
            tally.finished_at,
            tally.quantity,
            tally.attended_min,
            tally.machine_min,
            tally.together,
        )
        .join(StageRow, StageRow.id == tally.stage_id)
        .join(JobRow, JobRow.id == StageRow.job_id)
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == JobRow.pattern_revision_id)
        .where(tally.finished_at.is_not(None), tally.teaches, tally.redo == 0, tally.quantity > 0)
    )
    return _as_one([_time(row) for row in session.execute(chosen)])


def _time(row: Any) -> Logged:
    return Logged(
        key=f"s{row.stage_id}",
        kind=row.kind_id,
        pattern=row.pattern_id,
        order=f"j{row.job_id}",
        job=row.job_id,
        stage=row.stage_id,
        past_time=None,
        name=row.name,
        started_at=row.started_at,
        finished_at=row.finished_at,
        quantity=row.quantity,
        hands_min=row.attended_min,
        machine_min=row.machine_min,
        together=row.together,
    )


def _as_one(times: Iterable[Logged]) -> list[Logged]:
    """What was done together from its start to its end teaches as one: measures summed, one set-up."""
    alone, groups = [], defaultdict[str, list[Logged]](list)
    for one in times:
        if one.together:
            groups[",".join(sorted(one.together.split(",")))].append(one)
        else:
            alone.append(one)
    for together, group in groups.items():
        alone += [_sum(group)] if _is_whole(together, group) else group
    return alone


def _is_whole(together: str, group: Sequence[Logged]) -> bool:
    return len({one.kind for one in group}) == 1 and len(group) == len(together.split(","))


def _sum(group: Sequence[Logged]) -> Logged:
    first = min(group, key=lambda one: one.stage or 0)
    patterns = {one.pattern for one in group}
    return replace(
        first,
        pattern=first.pattern if len(patterns) == 1 else None,
        finished_at=max(one.finished_at for one in group),
        quantity=sum(one.quantity for one in group),
        hands_min=sum(one.hands_min for one in group),
        machine_min=sum(one.machine_min for one in group),
    )


def _of_past(session: Session) -> Iterable[Logged]:
    shop = find_shop(session)
    zone = ZoneInfo(shop.zone if shop else "UTC")
    past = PastTimeRow
    chosen = select(
        past.id,
        past.kind_id,
        past.pattern_id,
        past.pattern,
        past.job,
        past.stage,
        past.finished_on,
        past.quantity,
        past.minutes,
    )
    for row in session.execute(chosen):
        yield Logged(
            key=f"p{row.id}",
            kind=row.kind_id,
            pattern=row.pattern_id,
            order=f"p{row.job}",
            job=None,
            stage=None,
            past_time=row.id,
            name=row.stage,
            started_at=None,
            finished_at=datetime.combine(row.finished_on, _NOON, zone).astimezone(UTC),
            quantity=row.quantity,
            hands_min=row.minutes,
            machine_min=0.0,
        )
