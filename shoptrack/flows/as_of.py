"""Times that teach → what would have been foretold at an earlier instant, by what was known then."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from shoptrack.engine import durations
from shoptrack.engine.durations import USUAL, Beliefs
from shoptrack.engine.shapes import Dated, Rule, in_force
from shoptrack.engine.shapes.learned import Fit, Log, Prediction
from shoptrack.flows.taught import KindTimes
from shoptrack.store.rules import NO_RULE

NEWEST = 720
"""Of each kind so many of its newest times are fitted: what is older weighs under one four-thousandth."""
EACH_FROM, EACH = 100, 5
"""From so many times of a kind on it is fitted anew after every fifth only: four weigh 4.5 % of all."""
LEVEL_GROWS = 10
"""The shop's level of noise is reckoned anew once its times are more by a tenth."""


@dataclass
class AsOf:
    """What is needed to foretell as of then: all times by kind, and the rules of thumb with their dates."""

    kinds: Mapping[int, KindTimes]
    rules: Mapping[int, Dated[Rule]]
    _finished: dict[int, list[datetime]] = field(default_factory=dict)
    _every: list[datetime] = field(default_factory=list)
    _patterns: dict[tuple[int, int], list[tuple[datetime, int]]] = field(default_factory=dict)
    _levels: dict[int, Beliefs] = field(default_factory=dict)
    _fits: dict[tuple[int, int, int, Rule, int], Fit] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._finished = {kind: [one.finished_at for one in own.times] for kind, own in self.kinds.items()}
        self._every = sorted(at for own in self._finished.values() for at in own)

    def foretell(
        self, kind: int, quantity: float, pattern: int | None, order: str, at: datetime
    ) -> Prediction:
        """The minutes of hands, from what was finished before an instant and the rule of thumb in force then.

        What people said of odd times counts from when they said it. Approximations: see EACH, LEVEL_GROWS.
        """
        known = bisect_left(self._finished.get(kind, []), at)
        fitted = known if known < EACH_FROM else known - known % EACH
        of_pattern, repeats = self._before(kind, pattern, order, at)
        told = durations.predict(self._fit(kind, fitted, at), quantity, pattern, repeats)
        return replace(told, logs=min(known, NEWEST), of_pattern=of_pattern)

    def _before(self, kind: int, pattern: int | None, order: str, at: datetime) -> tuple[int, int]:
        """How many times of a pattern were known, and how many orders of it came before this one."""
        if pattern is None:
            return 0, 0
        if not self._patterns:
            self._patterns = _by_pattern(self.kinds)
        own = self._patterns.get((kind, pattern), [])
        known = bisect_left(own, at, key=lambda one: one[0])
        orders = self.kinds[kind].orders.get(pattern, {}) if known else {}
        so_far = own[known - 1][1] if known else 0
        return known, min(orders.get(order, so_far), so_far)

    def _fit(self, kind: int, count: int, at: datetime) -> Fit:
        rule = in_force(self.rules[kind], at) if self.rules.get(kind) else NO_RULE
        level, said = self._level(at), self._said(kind, count, at)
        key = (kind, count, said, rule, level[0])
        if key not in self._fits:
            self._fits = {k: fit for k, fit in self._fits.items() if k[0] != kind}  # the last one serves
            self._fits[key] = durations.fit(self._logs(kind, count, at), rule, level[1])
        return self._fits[key]

    def _logs(self, kind: int, count: int, at: datetime) -> list[Log]:
        own, first = self.kinds.get(kind, KindTimes()), max(count - NEWEST, 0)
        part = zip(own.times[first:count], own.repeats[first:count], strict=True)
        return [
            Log(one.key, one.hands_min, one.quantity, one.pattern, n, one.counts_at(at))
            for one, n in part
            if one.hands_min > 0
        ]

    def _said(self, kind: int, count: int, at: datetime) -> int:
        """How many of the times had somebody's word on them by then."""
        own = self.kinds.get(kind, KindTimes()).times[max(count - NEWEST, 0) : count]
        return sum(one.counts_at(at) is not None for one in own if one.said_at is not None)

    def _level(self, at: datetime) -> tuple[int, Beliefs]:
        """The shop's level of noise, by as many of all times as were enough to reckon it anew."""
        known, reached = bisect_left(self._every, at), 0
        while (after := reached + max(1, reached // LEVEL_GROWS)) <= known:
            reached = after
        if reached not in self._levels:
            self._levels[reached] = self._reckon(reached)
        return reached, self._levels[reached]

    def _reckon(self, reached: int) -> Beliefs:
        if not reached:
            return USUAL
        at = self._every[reached - 1]
        counts = {kind: bisect_left(own, at) for kind, own in self._finished.items()}
        fits = durations.fit_shop(
            {
                kind: (self._logs(kind, count, at), in_force(self.rules[kind], at))
                for kind, count in counts.items()
                if count and self.rules.get(kind)
            }
        )
        return next((replace(USUAL, noise=fit.noise) for fit in fits.values()), USUAL)


def _by_pattern(kinds: Mapping[int, KindTimes]) -> dict[tuple[int, int], list[tuple[datetime, int]]]:
    """By kind and pattern when each time was finished, and how many orders had one by then."""
    found: dict[tuple[int, int], list[tuple[datetime, int]]] = defaultdict(list)
    for kind, own in kinds.items():
        for one, repeats in zip(own.times, own.repeats, strict=True):
            if one.pattern is not None:
                last = found[kind, one.pattern]
                last.append((one.finished_at, max(repeats + 1, last[-1][1] if last else 0)))
    return found
