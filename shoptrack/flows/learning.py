"""The log → what the shop's kinds of stage really take, learned once and kept in memory until it changes."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from threading import Lock
from typing import Any
from weakref import WeakKeyDictionary, WeakSet

from sqlalchemy.orm import Session

from shoptrack.engine import durations
from shoptrack.engine.shapes import Dated, Rule
from shoptrack.engine.shapes.learned import Fit, Log, Prediction
from shoptrack.engine.totals import FIRST_LIKENESS, likeness
from shoptrack.flows.as_of import NEWEST
from shoptrack.flows.foretold import Foretold, record, settle, surprises_by_job
from shoptrack.flows.programs.pace import foretold_runs
from shoptrack.flows.taught import KindTimes, Orders, by_kind, taught
from shoptrack.store.db import Head, Store, head
from shoptrack.store.logs import Logged
from shoptrack.store.predictions import Kept, kept_since
from shoptrack.store.rules import Kind, dated_rules, kinds_with_rules

TRACKED = 500
"""Of each kind so many of its newest times are held against what was foretold of them."""
IN_A_PAGE = 100
"""A page settles at most so many passes before it is answered; the rest is the learner's."""
Runs = tuple[tuple[int, Prediction], ...]


@dataclass(frozen=True, slots=True)
class KindLearned:
    """What was learned of one kind of stage. ``times`` are all its times, oldest first.

    ``hands`` and ``machine`` are the fits of attended minutes and of a machine's; the latter None where no
    machine ran. ``orders`` counts the orders of each pattern that had such a stage; ``seen`` names them, each
    with how many came before it.
    """

    kind: Kind
    times: tuple[Logged, ...]
    hands: Fit
    machine: Fit | None
    orders: Mapping[int, int]
    seen: Orders = field(default_factory=dict)

    def repeats(self, pattern: int | None, order: str = "") -> int:
        """How many orders of a pattern came before this one, or before a new one."""
        own = self.seen.get(pattern, {}) if pattern is not None else {}
        return own.get(order, self.orders.get(pattern or 0, 0))


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned of all kinds, and how far the stages of one job run long together.

    ``track`` holds the newest times against what was foretold of them, oldest first; ``surprises`` are those
    of each job. ``runs`` is what the machine takes on each open stage that has a machine program, by its
    router's own factor. ``version`` differs wherever anything else was learned, or from another ``database``.
    """

    kinds: Mapping[int, KindLearned]
    likeness: float
    track: tuple[Foretold, ...] = ()
    runs: Mapping[int, Prediction] = field(default_factory=dict)
    surprises: Mapping[int, tuple[float, ...]] = field(default_factory=dict)
    version: str = ""
    database: str = ""
    _told: dict[tuple[Any, ...], Prediction] = field(default_factory=dict, compare=False, repr=False)

    def foretell(self, kind: int, quantity: float, pattern: int | None = None, order: str = "") -> Prediction:
        """The minutes of hands of the next stage of a kind; ``pattern`` None: it has none.

        ``order``, as of ``Logged``, where it is of one that may have had such a stage already.
        """
        known = self.kinds[kind]
        asked = (kind, quantity, pattern, known.repeats(pattern, order))
        if asked not in self._told:  # pages ask for the same few again and again
            self._told[asked] = durations.predict(known.hands, *asked[1:])
        return self._told[asked]

    def foretell_machine(
        self, kind: int, quantity: float, pattern: int | None = None, order: str = ""
    ) -> Prediction | None:
        """The minutes of the machine; None where stages of this kind have none."""
        known = self.kinds[kind]
        if known.machine is None:
            return None
        return durations.predict(known.machine, quantity, pattern, known.repeats(pattern, order))


def learned(store: Store, now: datetime) -> Learned:
    """What was learned so far; what was fitted last serves while no time and no rule of thumb changed.

    Where no learner looks after the store, what was foretold of new passes is kept first.
    """
    if store not in LOOKED_AFTER:
        settle(store, now, IN_A_PAGE)
    with store.reading() as session:
        return learn(store, session, now)


def learn(store: Store, session: Session, now: datetime) -> Learned:
    """The same as a session sees it, of what was foretold only that which is kept already."""
    at = head(session)
    with _TURN:
        last = _LAST.get(store)
        kinds, rules = kinds_with_rules(session, now), dated_rules(session)
        known = taught(store, session, at)
        rows = _rows(store, session, at.database_id)
        runs = _runs(store, session, at, kinds)
        mark = (_mark_of(kinds, rules), known.mark, rows.last, runs)
        if last is None or last.mark != mark:
            found = _fit(kinds, known.kinds)
            found = replace(found, database=at.database_id, runs=dict(runs))
            track = _track(store, found, rows, rules)
            _LAST[store] = last = _Left(mark, _with_track(found, track, mark))
        return last.learned


def remembered(store: Store, database: str | None = None) -> Learned | None:
    """What was learned last, perhaps a few finishes ago; None: nothing was yet, or from another database.

    It costs nothing.
    """
    last = _LAST.get(store)
    if last is None or database not in (None, last.learned.database):
        return None
    return last.learned


def lately(store: Store, now: datetime) -> Learned:
    """What was learned at the learner's last look, seconds ago; where none looks, what is learned now.

    It is learned now too where a kind or a rule of thumb is another since, or the database is.
    """
    last = _LAST.get(store) if store in LOOKED_AFTER else None
    if last is None:
        return learned(store, now)
    with store.reading() as session:
        of_now = head(session).database_id, _mark_of(kinds_with_rules(session, now), dated_rules(session))
        same = of_now == (last.learned.database, last.mark[0])
        return last.learned if same else learn(store, session, now)


def before_a_tap(store: Store, now: datetime) -> Learned | None:
    """The same for a tap: where nothing was learned yet, and no learner is at it, it is learned now."""
    if (last := remembered(store)) is not None or store in LOOKED_AFTER:
        return last
    with store.reading() as session:
        return learn(store, session, now)


def fit_all(kinds: Mapping[int, Kind], times: Sequence[Logged], likeness: float = FIRST_LIKENESS) -> Learned:
    """Fit every kind. Takes the kinds with the rules in force and all times that teach, oldest first."""
    return replace(_fit(kinds, by_kind(times)), likeness=likeness)


def _fit(kinds: Mapping[int, Kind], known: Mapping[int, KindTimes]) -> Learned:
    own = {kind: known.get(kind, KindTimes()) for kind in kinds}
    hands = durations.fit_shop({k: (_newest(own[k], "hands_min"), kinds[k].rule) for k in kinds})
    runs = {k: (_newest(own[k], "machine_min"), kinds[k].rule) for k in kinds if kinds[k].watched}
    machine = durations.fit_shop(runs)
    return Learned(
        {
            k: KindLearned(
                kind=kinds[k],
                times=own[k].times,
                hands=hands[k],
                machine=machine.get(k),
                orders={pattern: len(seen) for pattern, seen in own[k].orders.items()},
                seen=own[k].orders,
            )
            for k in kinds
        },
        FIRST_LIKENESS,
    )


def _mark_of(kinds: Mapping[int, Kind], rules: Mapping[int, Dated[Rule]]) -> tuple[object, ...]:
    """What kinds and their rules of thumb are recognised by."""
    return (*kinds.items(), *sorted(rules.items()))


def _runs(store: Store, session: Session, at: Head, kinds: Mapping[int, Kind]) -> Runs:
    """What the machine takes on open stages with programs, in their order; read once for each state."""
    last = _RUNS.get(store)
    if last is None or last[0] != at:
        found = foretold_runs(session, {kind: own.rule.setup_min for kind, own in kinds.items()})
        _RUNS[store] = last = (at, tuple(sorted(found.items(), key=lambda each: each[0])))
    return last[1]


def _newest(own: KindTimes, minutes: str) -> list[Log]:
    return own.logs(minutes, max(len(own.times) - NEWEST, 0))


def _track(
    store: Store, found: Learned, own: "_Rows", rules: Mapping[int, Dated[Rule]]
) -> tuple[Foretold, ...]:
    """The newest times against what was foretold of them, oldest first; what stands as before is kept."""
    rows = own.by_key
    every = [one for known in found.kinds.values() for one in known.times[-TRACKED:] if one.key in rows]
    last = _TOLD.get(store)
    same = last is not None and (last.database_id, last.rules) == (own.database_id, rules)
    before = dict(last.told) if last is not None and same else {}
    new = [one for one in every if (old := before.get(one.key)) is None or old[0] != one]
    told = before | {one.key: (one, fresh) for one, fresh in _held(new, rows, rules)}
    kept = {one.key: told[one.key] for one in every if one.key in told}
    _TOLD[store] = _Told(own.database_id, rules, kept)
    return tuple(sorted((each for _, each in kept.values()), key=lambda each: (each.finished_at, each.key)))


def _held(
    new: Sequence[Logged], rows: Mapping[str, Kept], rules: Mapping[int, Dated[Rule]]
) -> list[tuple[Logged, Foretold]]:
    by_key = {one.key: one for one in new}
    return [(by_key[each.key], each) for each in record(new, rows, rules)]


def _with_track(found: Learned, track: tuple[Foretold, ...], mark: object) -> Learned:
    """What was learned, with the track record and how far stages of one job run long together."""
    surprises = surprises_by_job(track)
    version = hashlib.sha256(repr(mark).encode()).hexdigest()[:12]
    return replace(
        found,
        likeness=likeness(surprises.values()),
        track=track,
        surprises=surprises,
        version=version,
    )


@dataclass(frozen=True, slots=True)
class _Told:
    """The track record by the rules of thumb it was made with: each time, and what was foretold of it."""

    database_id: str
    rules: Mapping[int, Dated[Rule]]
    told: Mapping[str, tuple[Logged, Foretold]]


@dataclass(slots=True)
class _Rows:
    """What was foretold, as far as it was read; rows are only ever added."""

    database_id: str
    last: int = 0
    by_key: dict[str, Kept] = field(default_factory=dict)


def _rows(store: Store, session: Session, database_id: str) -> _Rows:
    own = _FORETOLD.get(store)
    if own is None or own.database_id != database_id:
        _FORETOLD[store] = own = _Rows(database_id)
    more, own.last = kept_since(session, durations.METHOD, own.last)
    own.by_key.update((row.key, row) for row in more)
    return own


@dataclass(frozen=True, slots=True)
class _Left:
    """What was learned last, and by what it is recognised."""

    mark: Any
    learned: Learned


LOOKED_AFTER: WeakSet[Store] = WeakSet()
"""Stores beside which a learner runs (flows.learner): their pages leave the settling to it."""
_LAST: WeakKeyDictionary[Store, _Left] = WeakKeyDictionary()
_FORETOLD: WeakKeyDictionary[Store, _Rows] = WeakKeyDictionary()
_RUNS: WeakKeyDictionary[Store, tuple[Head, Runs]] = WeakKeyDictionary()
_TOLD: WeakKeyDictionary[Store, _Told] = WeakKeyDictionary()
_TURN = Lock()
