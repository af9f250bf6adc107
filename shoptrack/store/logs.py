"""Finished stages, from the tally and from before the log, to the times that teach; oldest first."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.store.shop import shop_zone
from shoptrack.store.tables import (
    EditRow,
    JobRow,
    LogAnswerRow,
    PastTimeRow,
    PatternRevisionRow,
    StageRow,
    TallyRow,
)

EARLIEST = datetime.min.replace(tzinfo=UTC)
_NOON = time(12)


@dataclass(frozen=True, slots=True)
class Logged:
    """A finished stage as it teaches, or several of one kind that were done together as one.

    ``key`` names it on forms: "s" and the stage, or "p" and the past time. ``order`` is what tells one order
    from another; ``job`` None: it is from before the log. ``counts``: a person's word on it, given at
    ``said_at``. Minutes may be nought: a machine without hands, or hands without a machine.
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
    said_at: datetime | None = None

    @property
    def imported(self) -> bool:
        """Whether it was brought in from before the log."""
        return self.past_time is not None

    def counts_at(self, at: datetime) -> bool | None:
        """What somebody had said of it by an instant."""
        return self.counts if self.said_at is not None and self.said_at <= at else None


@dataclass(frozen=True, slots=True)
class Answer:
    """A person's word on a time that looked wrong: it counts like any other, or it is left out."""

    counts: bool
    said_at: datetime
    person: int | None


@dataclass(frozen=True, slots=True)
class Mark:
    """What changes when the times do: how many were finished before an instant and since, and their sums.

    ``renamed``: the last change of a stage's name.
    """

    before: tuple[float, ...]
    since: tuple[float, ...]
    renamed: int = 0


def logged(session: Session, since: datetime = EARLIEST) -> list[Logged]:
    """Every time that teaches and was finished since an instant, oldest first. Empty: nothing was yet.

    Passes that don't teach (done again, no start, not answered) are not here; see ``Pass.why_not``.
    """
    return with_answers(read_times(session, since), answers(session))


def read_times(session: Session, since: datetime = EARLIEST) -> list[Logged]:
    """The same without what people said of them."""
    found = [*_of_tally(session, since), *_of_past(session, since)]
    return sorted(found, key=lambda one: (one.finished_at, one.key))


def with_answers(times: Iterable[Logged], said: Mapping[str, Answer]) -> list[Logged]:
    """The times, each with what somebody said of it."""
    if not said:
        return list(times)
    return [
        replace(one, counts=own.counts, said_at=own.said_at) if (own := said.get(one.key)) else one
        for one in times
    ]


def answers(session: Session) -> dict[str, Answer]:
    """What people said of times that looked wrong, by the times' keys."""
    row = LogAnswerRow
    chosen = select(row.stage_id, row.past_time_id, row.counts, row.said_at, row.person_id)
    return {_answer_key(said): Answer(*said[2:]) for said in session.execute(chosen)}


def mark(session: Session, split_at: datetime = EARLIEST) -> Mark:
    """How many times there are and their sums: of those finished before an instant, and since."""
    tally, past = TallyRow, PastTimeRow
    # when they were too: of a start and a finish that are moved alike the minutes stay
    instants = (func.strftime("%s", tally.started_at), func.strftime("%s", tally.finished_at))
    sums = (tally.attended_min, tally.machine_min, tally.quantity, *instants)
    passes = select(func.count(), *map(func.total, sums)).where(*_TEACHES)
    days = select(func.count(), func.total(past.minutes), func.total(past.quantity))
    every = (*session.execute(passes).one(), *session.execute(days).one())
    since = (
        *session.execute(passes.where(tally.finished_at >= split_at)).one(),
        *session.execute(days.where(past.finished_on >= split_at.date())).one(),
    )
    # to a hundredth: what is left of two long sums is not the same to the last digit each time
    before = tuple(round(a - b, 2) for a, b in zip(every, since, strict=True))
    return Mark(before, since, session.scalar(_RENAMED) or 0)


_RENAMED = select(func.max(EditRow.id)).where(
    EditRow.table_name == StageRow.__tablename__, EditRow.field == "name"
)
_TEACHES = (TallyRow.finished_at.is_not(None), TallyRow.teaches, TallyRow.redo == 0, TallyRow.quantity > 0)


def _answer_key(row: Any) -> str:
    return f"s{row.stage_id}" if row.stage_id is not None else f"p{row.past_time_id}"


def _of_tally(session: Session, since: datetime) -> list[Logged]:
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
        .where(*_TEACHES)
    )
    if since > EARLIEST:
        chosen = chosen.where(tally.finished_at >= since)
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


def _of_past(session: Session, since: datetime) -> Iterable[Logged]:
    zone = shop_zone(session)
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
    if since > EARLIEST:
        chosen = chosen.where(past.finished_on >= since.date())
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
