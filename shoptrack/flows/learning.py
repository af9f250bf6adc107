"""The log → what the shop's kinds of stage really take, learned once and kept in memory until it changes."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from threading import Lock
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy.orm import Session

from shoptrack.engine import durations
from shoptrack.engine.shapes.learned import Fit, Log, Prediction
from shoptrack.engine.totals import FIRST_LIKENESS
from shoptrack.store import logs
from shoptrack.store.db import Store, head
from shoptrack.store.logs import Logged
from shoptrack.store.rules import Kind, kinds_with_rules

NEWEST = 720
"""Of each kind so many of its newest times are fitted: what is older weighs under one four-thousandth."""


@dataclass(frozen=True, slots=True)
class KindLearned:
    """What was learned of one kind of stage. ``times`` are all its times, oldest first.

    ``hands`` and ``machine`` are the fits of attended minutes and of a machine's; the latter None where no
    machine ran. ``orders`` counts the orders of each pattern that had such a stage.
    """

    kind: Kind
    times: tuple[Logged, ...]
    hands: Fit
    machine: Fit | None
    orders: Mapping[int, int]


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned of all kinds, and how far the stages of one job run long together."""

    kinds: Mapping[int, KindLearned]
    likeness: float

    def foretell(self, kind: int, quantity: float, pattern: int | None = None) -> Prediction:
        """The minutes of hands of the next stage of a kind; ``pattern`` None: it has none."""
        known = self.kinds[kind]
        return durations.predict(known.hands, quantity, pattern, known.orders.get(pattern or 0, 0))

    def foretell_machine(self, kind: int, quantity: float, pattern: int | None = None) -> Prediction | None:
        """The minutes of the machine; None where stages of this kind have none."""
        known = self.kinds[kind]
        if known.machine is None:
            return None
        return durations.predict(known.machine, quantity, pattern, known.orders.get(pattern or 0, 0))


def learned(store: Store, now: datetime) -> Learned:
    """What was learned so far; what was fitted last serves while no time and no rule of thumb changed."""
    with store.reading() as session:
        return learn(store, session, now)


def learn(store: Store, session: Session, now: datetime) -> Learned:
    """The same as a session sees it."""
    kinds = kinds_with_rules(session, now)
    mark = (head(session).database_id, tuple(kinds.items()), logs.mark(session))
    with _TURN:
        last = _LAST.get(store)
        if last is not None and last[0] == mark:
            return last[1]
        found = fit_all(kinds, logs.logged(session))
        _LAST[store] = (mark, found)
        return found


def fit_all(kinds: Mapping[int, Kind], times: Sequence[Logged], likeness: float = FIRST_LIKENESS) -> Learned:
    """Fit every kind. Takes the kinds with the rules in force and all times that teach, oldest first."""
    by_kind: dict[int, list[Logged]] = defaultdict(list)
    for one in times:
        by_kind[one.kind].append(one)
    ordered = {kind: _with_repeats(by_kind[kind]) for kind in kinds}
    hands = durations.fit_shop({k: (_logs(ordered[k], "hands_min"), kinds[k].rule) for k in kinds})
    runs = {k: (_logs(ordered[k], "machine_min"), kinds[k].rule) for k in kinds if kinds[k].watched}
    machine = durations.fit_shop(runs)
    return Learned(
        {
            k: KindLearned(kinds[k], tuple(by_kind[k]), hands[k], machine.get(k), _orders(ordered[k]))
            for k in kinds
        },
        likeness,
    )


def _with_repeats(times: Sequence[Logged]) -> list[tuple[Logged, int]]:
    """Each time with how many earlier orders of its pattern had a stage of this kind.

    Inside one order only the measure counts, so its second stage repeats nothing.
    """
    seen: dict[int, dict[str, int]] = defaultdict(dict)
    found = []
    for one in times:
        own = seen[one.pattern] if one.pattern is not None else {}
        found.append((one, own.setdefault(one.order, len(own))))
    return found


def _orders(times: Sequence[tuple[Logged, int]]) -> dict[int, int]:
    orders: dict[int, int] = {}
    for one, repeats in times:
        if one.pattern is not None:
            orders[one.pattern] = max(orders.get(one.pattern, 0), repeats + 1)
    return orders


def _logs(times: Sequence[tuple[Logged, int]], minutes: str) -> list[Log]:
    return [
        Log(one.key, getattr(one, minutes), one.quantity, one.pattern, repeats, one.counts)
        for one, repeats in times
        if getattr(one, minutes) > 0
    ][-NEWEST:]


_LAST: WeakKeyDictionary[Store, tuple[Any, Learned]] = WeakKeyDictionary()
_TURN = Lock()
