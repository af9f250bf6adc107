"""A pass that is not done and what was learned → the minutes still in it as foretold, round by round."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from math import exp, log

from shoptrack.engine import durations
from shoptrack.engine.shapes import Pass, Rule, Stage, Stint, in_force
from shoptrack.engine.shapes.learned import Fit, Prediction
from shoptrack.engine.totals import Part
from shoptrack.flows.learning import Learned
from shoptrack.flows.usual import LEAST_LOGS, enough

_MOST_SHARE = 1.0 - 1e-6
_NO_RULE = Rule(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Draw:
    """What is foretold of a pass, or of its rounds after the one in hand.

    They are minutes of hands of all people, of a watched stage its machine's; those spent are in them.
    """

    job: int
    stage: int
    redo: int
    part: Part


@dataclass(frozen=True, slots=True)
class Share:
    """A task's part of a draw: (drawn − spent) · ``share`` / ``people`` minutes; ``draw`` by its place."""

    draw: int
    share: float
    people: int


@dataclass(frozen=True, slots=True)
class Shared:
    """A round's share of a foretold part, and its middle in minutes of hands of all people."""

    part: Part
    share: float
    middle_min: float


class Foretold:
    """The minutes of stages as they were learned, else by rule of thumb, at one instant."""

    def __init__(self, known: Learned | None, patterns: dict[int, int | None], now: datetime) -> None:
        self._known, self._patterns, self._now = known, patterns, now

    def rule(self, stage: Stage) -> Rule:
        """The rule of thumb in force."""
        return in_force(stage.rule, self._now) if stage.rule else _NO_RULE

    def hands(self, stage: Stage, quantity: float) -> Prediction:
        """The minutes of hands of a quantity: learned where enough was logged, else by rule of thumb."""
        known = self._known
        if known is None or quantity <= 0 or not enough(known, stage.kind_id):
            return _guess(self.rule(stage).minutes(quantity))
        pattern = self._patterns[stage.job]
        return _rounded(known.foretell(stage.kind_id, quantity, pattern, f"j{stage.job}"))

    def machine(self, stage: Stage, quantity: float) -> Prediction:
        """The minutes of a watched machine, set-up and all, as its run is logged from the start on.

        Where too few runs of the kind were logged to say, its program does, by the router's own factor.
        """
        known, fit = self._known, self.machine_fit(stage)
        if known is None or fit is None or quantity <= 0:
            run = known.runs.get(stage.id) if known and 0 < stage.quantity <= quantity else None
            return _rounded(run) if run else _guess(self.rule(stage).minutes(quantity))
        pattern = self._patterns[stage.job]
        repeats = known.kinds[stage.kind_id].repeats(pattern, f"j{stage.job}")
        return _of_machine(fit, quantity, pattern, repeats)

    def machine_fit(self, stage: Stage) -> Fit | None:
        """What was learned of a kind's machine; None: too little to say how long it runs."""
        known = self._known
        fit = known.kinds[stage.kind_id].machine if known and stage.kind_id in known.kinds else None
        return None if fit is None or len(fit.logs) < LEAST_LOGS else fit

    def setup_min(self, stage: Stage, quantity: float) -> float:
        """The minutes of hands of a watched machine: learned, else its set-up by rule of thumb."""
        if enough(self._known, stage.kind_id):
            return middle_min(Part(self.hands(stage, quantity)))
        return self.rule(stage).setup_min


def rounds_left(
    told: Prediction, rule: Rule, work: Pass, counts: Sequence[float], spent_min: float
) -> list[Shared]:
    """What is left of a pass, by the counts of its rounds to come.

    Takes what is foretold of all of it, and the minutes spent since its last round. Method: set-up and
    minutes for each by rule of thumb, the set-up in the first round of all; the first has its own part where
    it was begun, since what was spent is spent on it.
    """
    weights = [rule.rate_min * count if rule.rate_min else count for count in counts]
    whole = rule.minutes(work.quantity) if rule.rate_min else work.quantity
    if not work.count_done:
        weights[0] += whole - sum(weights)
    left = sum(weights)
    if not work.count_done and len(counts) == 1:
        return [_shared(Part(told, spent_min), 1.0)]
    if spent_min <= 0.0:
        part = Part(_scaled(told, left / whole))
        return [_shared(part, weight / left) for weight in weights]
    first = _shared(Part(_scaled(told, weights[0] / whole), spent_min), 1.0)
    after = Part(_scaled(told, (left - weights[0]) / whole)) if len(counts) > 1 else None
    return [first, *(_shared(after, weight / (left - weights[0])) for weight in weights[1:] if after)]


def _shared(part: Part, share: float) -> Shared:
    return Shared(part, share, middle_min(part) * share)


def _scaled(told: Prediction, share: float) -> Prediction:
    return replace(told, loc=told.loc + log(max(share, 1e-6)))


def middle_min(part: Part) -> float:
    """The middle of what is still to come: of one in hand the middle of more than it has taken."""
    if part.spent_min <= 0.0:
        return exp(part.foretold.loc)
    told = part.foretold
    return _middle_beyond(told.df, told.loc, told.scale, round(part.spent_min))


@lru_cache(maxsize=4096)
def _middle_beyond(df: float, loc: float, scale: float, spent_min: int) -> float:
    if spent_min <= 0:
        return exp(loc)
    told = Prediction(df, loc, scale)
    share = min((1.0 + durations.chance_under(told, spent_min)) / 2.0, _MOST_SHARE)
    return max(durations.quantile_min(told, share) - spent_min, 0.0)


@lru_cache(maxsize=1)
def _unlogged() -> Prediction:
    """A stage of a kind of which nothing was logged, that takes a minute by rule of thumb."""
    return durations.predict(durations.fit((), Rule(0.0, 1.0)), 1.0)


@lru_cache(maxsize=1024)
def _of_machine(fit: Fit, quantity: float, pattern: int | None, repeats: int) -> Prediction:
    return _rounded(durations.predict(fit, quantity, pattern, repeats))


@lru_cache(maxsize=4096)
def _guess(rule_min: float) -> Prediction:
    first = _unlogged()
    return Prediction(first.df, log(max(rule_min, durations.LEAST_RULE_MIN)), first.scale)


def _rounded(told: Prediction) -> Prediction:
    """To a hundredth of ln(minutes): times of other kinds move no plan."""
    return Prediction(
        float(round(told.df)),
        round(told.loc, 2),
        round(told.scale, 2),
        told.logs,
        told.of_pattern,
        told.set_aside,
    )


def spent_since_round(work: Pass) -> float:
    """Minutes of hands on a pass since its last round was closed, or since its beginning."""
    if not work.rounds:
        return work.attended_min
    at = max(made.cured_from for made in work.rounds)
    return sum(stint.attended_min * _share_since(stint, at) for stint in work.stints)


def _share_since(stint: Stint, at: datetime) -> float:
    whole = sum((b - a).total_seconds() for a, b in stint.counted)
    after = sum((b - max(a, at)).total_seconds() for a, b in stint.counted if b > at)
    return after / whole if whole else 0.0
