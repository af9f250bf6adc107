"""Passes that were begun → what was foretold of each, kept, and later held against what it took."""

import logging
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import log
from weakref import WeakKeyDictionary

from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from shoptrack.engine import durations, student
from shoptrack.engine.shapes import Dated, Rule, in_force
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.flows.as_of import AsOf
from shoptrack.flows.taught import Taught, taught
from shoptrack.store import logs, predictions
from shoptrack.store.db import Head, Store, head
from shoptrack.store.logs import Logged
from shoptrack.store.predictions import EARLIEST, Begun, Kept
from shoptrack.store.rules import dated_rules

AT_ONCE = 2000
"""So many are settled at most in one call, the newest first."""
COMPUTED_LATER = timedelta(days=1)
LOOK_BACK = timedelta(days=30)
"""Once all is settled, only passes begun this recently are looked through for new ones."""
FAR_OFF = 2.0
"""What turned out to be of more than so many times the measure, or less, was not what was foretold."""

LOGGER = logging.getLogger("shoptrack.learned")


@dataclass(frozen=True, slots=True)
class Foretold:
    """A finished pass or a time from before the log, with what was foretold of it before it began.

    ``prediction`` is for the measure that was done. ``share``: the chance that was given to less than the
    ``minutes`` it took. ``later``: reckoned afterwards, from what was known when it began. Not ``counted``:
    its start was moved since, its measure was another, or somebody said that its time is to be left out.
    """

    key: str
    kind: int
    job: int | None
    stage: str
    pattern: int | None
    started_at: datetime
    finished_at: datetime
    quantity: float
    minutes: float
    prediction: Prediction
    share: float
    imported: bool
    later: bool
    counted: bool

    @property
    def surprise(self) -> float:
        """How far it was from the middle of what was foretold, in standard deviations, within ±3."""
        return student.z_of(self.share)


def settle(store: Store, now: datetime, most: int = AT_ONCE) -> int:
    """Keep what would have been foretold of each pass begun that has no prediction yet; gives how many.

    Takes how many at most, the newest first; the rest is for later calls. Done again it does nothing. What
    can't be written down now (a full disk, a file that may only be read) is left for the next time.
    """
    with store.reading() as session:
        at = head(session)
        since = _since(store, at, now)
        begun = predictions.unsettled(session, durations.METHOD, most, since) if since else []
        rows = _foretell_all(session, taught(store, session, at), begun, now) if begun else []
    kept = _keep(store, rows)
    if len(begun) < most and kept == len(begun):
        _SETTLED[store] = (at, now)
    return kept


def _since(store: Store, at: Head, now: datetime) -> datetime | None:
    """From when on passes may be without a prediction; None: nothing was written since all had one."""
    last = _SETTLED.get(store)
    if last is None or last[0].database_id != at.database_id:
        return EARLIEST
    return None if last[0] == at else min(last[1], now) - LOOK_BACK


def _keep(store: Store, rows: Sequence[Kept]) -> int:
    if not rows:
        return 0
    try:
        with store.noting() as session:
            predictions.add_predictions(session, rows)
    except SQLAlchemyError:
        # another call was faster, or the file can't be written to: nothing is lost, all can be reckoned again
        LOGGER.warning("What was foretold could not be kept this time.", exc_info=True)
        return 0
    return len(rows)


def _foretell_all(session: Session, known: Taught, begun: Sequence[Begun], now: datetime) -> list[Kept]:
    """What was known before each of them began, the kinds one after another so that each is fitted once."""
    as_of = AsOf(known.kinds, dated_rules(session))
    groups = predictions.measures(session, {s for one in begun for s in one.together})
    ordered = sorted(begun, key=lambda one: (one.kind, one.started_at, one.stage or 0, one.past_time or 0))
    return [_foretell(as_of, one, groups, now) for one in ordered]


def _foretell(
    as_of: AsOf, one: Begun, groups: Mapping[int, tuple[int, int | None, float]], now: datetime
) -> Kept:
    quantity, pattern = _measure(one, groups)
    told = as_of.foretell(one.kind, quantity, pattern, one.order, one.started_at)
    return Kept(
        stage_id=one.stage,
        redo=one.redo,
        past_time_id=one.past_time,
        method=durations.METHOD,
        started_at=one.started_at,
        quantity=quantity,
        df=told.df,
        loc=told.loc,
        scale=told.scale,
        logs=told.logs,
        of_pattern=told.of_pattern,
        later=now - one.started_at > COMPUTED_LATER,
        made_at=now,
    )


def _measure(one: Begun, groups: Mapping[int, tuple[int, int | None, float]]) -> tuple[float, int | None]:
    """Its measure and pattern; of the first of several of one kind done together, those of all of them."""
    members = [groups[s] for s in one.together if s in groups]
    whole = len(members) == len(one.together) and len({kind for kind, _, _ in members}) == 1
    if not members or not whole or one.redo or one.stage != min(one.together):
        return one.quantity, one.pattern
    same = len({pattern for _, pattern, _ in members}) == 1
    return sum(quantity for _, _, quantity in members), one.pattern if same else None


def track(session: Session, times: Sequence[Logged] | None = None) -> tuple[Foretold, ...]:
    """What was foretold of each finished time that teaches and what it took, oldest first.

    Takes the times where they were read already. Empty: nothing that was foretold is finished yet.
    """
    rows, _ = predictions.kept_since(session, durations.METHOD)
    by_key = {row.key: row for row in rows}
    return record(logs.logged(session) if times is None else times, by_key, dated_rules(session))


def record(
    times: Iterable[Logged], rows: Mapping[str, Kept], rules: Mapping[int, Dated[Rule]]
) -> tuple[Foretold, ...]:
    """The times with what was foretold of them; those of which nothing was are left out."""
    found = [(one, row) for one in times if (row := rows.get(one.key)) and one.hands_min > 0]
    told = [_for_measure(row, one.quantity, rules.get(one.kind, ())) for one, row in found]
    shares = student.cdf_of_each(
        [(log(one.hands_min) - p.loc) / p.scale for (one, _), p in zip(found, told, strict=True)],
        [p.df for p in told],
    )
    return tuple(
        _foretold(one, row, p, float(share)) for (one, row), p, share in zip(found, told, shares, strict=True)
    )


def _for_measure(row: Kept, quantity: float, rules: Dated[Rule]) -> Prediction:
    """What was foretold, for the measure that was done: moved as the rule of thumb moves."""
    loc = row.loc
    if quantity != row.quantity:
        rule = in_force(rules, row.started_at) if rules else Rule(0.0, 0.0)
        then, done = (max(rule.minutes(q), durations.LEAST_RULE_MIN) for q in (row.quantity, quantity))
        loc += log(done / then)
    return Prediction(row.df, loc, row.scale, row.logs, row.of_pattern)


def _foretold(one: Logged, row: Kept, told: Prediction, share: float) -> Foretold:
    alike = max(one.quantity / row.quantity, row.quantity / one.quantity) <= FAR_OFF
    return Foretold(
        key=one.key,
        kind=one.kind,
        job=one.job,
        stage=one.name,
        pattern=one.pattern,
        started_at=row.started_at,
        finished_at=one.finished_at,
        quantity=one.quantity,
        minutes=one.hands_min,
        prediction=told,
        share=share,
        imported=one.imported,
        later=row.later,
        counted=alike and one.counts is not False and one.started_at in (None, row.started_at),
    )


def surprises_by_job(found: Iterable[Foretold]) -> dict[int, tuple[float, ...]]:
    """The surprises of each job's finished stages, as far as they count."""
    by_job: dict[int, list[float]] = defaultdict(list)
    for one in found:
        if one.job is not None and one.counted:
            by_job[one.job].append(one.surprise)
    return {job: tuple(own) for job, own in by_job.items()}


_SETTLED: WeakKeyDictionary[Store, tuple[Head, datetime]] = WeakKeyDictionary()
"""At which head, and when, nothing was left to settle."""
