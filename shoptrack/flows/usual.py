"""What was learned last → the minutes a stage usually takes, from memory, for pages that may not wait."""

from collections.abc import Sequence
from math import exp

from shoptrack.engine.shapes import Stage, in_force
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.flows.learning import Learned
from shoptrack.flows.shopfloor import Sight

LEAST_LOGS = 3
"""From so many times of a kind on they say what is usual; until then the rule of thumb does."""


def enough(known: Learned | None, kind: int) -> bool:
    """Whether enough of a kind was logged for it to say what is usual."""
    return known is not None and kind in known.kinds and len(known.kinds[kind].hands.logs) >= LEAST_LOGS


def foretold_of(sight: Sight, stage: Stage, quantity: float) -> Prediction | None:
    """What was learned of a stage of a job, for a quantity; None where that is too little."""
    known = sight.learned
    if known is None or quantity <= 0 or not enough(known, stage.kind_id):
        return None
    pattern = sight.world.jobs[stage.job].pattern
    return known.foretell(stage.kind_id, quantity, pattern, f"j{stage.job}")


def usual_min(sight: Sight, stage_ids: Sequence[int]) -> float:
    """Minutes that stages usually take, done together: of each kind one set-up, for all that it measures.

    Of the kinds of which too little is known by rule of thumb: one set-up, the largest.
    """
    by_kind: dict[int, list[Stage]] = {}
    for stage in (sight.world.stages[s] for s in stage_ids):
        by_kind.setdefault(stage.kind_id, []).append(stage)
    learned = {kind: _middle_min(sight, own) for kind, own in by_kind.items()}
    rest = [stage for kind, own in by_kind.items() if learned[kind] is None for stage in own if stage.rule]
    setups = [in_force(stage.rule, sight.now).setup_min for stage in rest]
    rates = sum(in_force(stage.rule, sight.now).rate_min * _measure(sight, stage) for stage in rest)
    return sum(minutes or 0.0 for minutes in learned.values()) + max(setups, default=0.0) + rates


def whole_min(sight: Sight, stage: Stage) -> float:
    """Minutes that a stage usually takes, whatever of it was done; nought where neither is known."""
    told = foretold_of(sight, stage, stage.quantity) if stage.attendance != "none" else None
    if told is not None:
        return exp(told.loc)
    return stage.rule_min(sight.now) if stage.rule else 0.0


def _middle_min(sight: Sight, stages: Sequence[Stage]) -> float | None:
    """The middle of what stages of one kind take together; None where too little is known."""
    if any(stage.attendance == "none" for stage in stages):
        return None
    told = foretold_of(sight, stages[0], sum(_measure(sight, stage) for stage in stages))
    return exp(told.loc) if told is not None else None


def _measure(sight: Sight, stage: Stage) -> float:
    return sight.replayed.current(stage.id).quantity
