"""Logged times → the names on them: the job, the pattern and who did it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.logs import Logged
from shoptrack.store.past_times import starters
from shoptrack.store.tables import JobRow, PastTimeRow, PatternRow


@dataclass(frozen=True, slots=True)
class LogNames:
    """What a time is called: the job's tag (none before the log) and title, the pattern, who did it."""

    tag: str
    title: str
    pattern: str
    who: str


def log_names(session: Session, logs: Collection[Logged]) -> Mapping[str, LogNames]:
    """The names of some times, by their keys. Empty: of no times nothing, without a query."""
    if not logs:
        return {}
    patterns = pattern_names(session)
    jobs = _jobs(session, {one.job for one in logs if one.job is not None})
    past = _past(session, {one.past_time for one in logs if one.past_time is not None})
    who = starters(session, [one.stage for one in logs if one.stage is not None])
    found = {}
    for one in logs:
        pattern = patterns.get(one.pattern or 0, "")
        if one.past_time is not None:
            title, theirs, person = past[one.past_time]
            found[one.key] = LogNames("", title, pattern or theirs, person)
        else:
            tag, title = jobs[one.job or 0]
            found[one.key] = LogNames(tag, title, pattern, ", ".join(who.get(one.stage or 0, ())))
    return found


def pattern_names(session: Session) -> dict[int, str]:
    """Every pattern there ever was, by number, in the order of their names."""
    rows = session.execute(select(PatternRow.id, PatternRow.name).order_by(PatternRow.name, PatternRow.id))
    return {row.id: row.name for row in rows}


def _jobs(session: Session, ids: Collection[int]) -> dict[int, tuple[str, str]]:
    rows = session.execute(select(JobRow.id, JobRow.tag, JobRow.title).where(JobRow.id.in_(ids)))
    return {row.id: (row.tag, row.title) for row in rows}


def _past(session: Session, ids: Collection[int]) -> dict[int, tuple[str, str, str]]:
    past = PastTimeRow
    chosen = select(past.id, past.job, past.pattern, past.person).where(past.id.in_(ids))
    return {row.id: (row.job, row.pattern, row.person) for row in session.execute(chosen)}
