"""Starts that were tapped → the same with the minutes beyond which the Bench asks about them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from math import exp

from sqlalchemy.orm import Session

from shoptrack.engine.durations import quantile_min
from shoptrack.engine.shapes import Dated, Entry, Rule, in_force
from shoptrack.flows.learning import Learned
from shoptrack.flows.usual import enough
from shoptrack.store.known import Sort, redone, rules_of, sorts_of

LIMIT_TIMES = 2
"""Where too little is learned, a stint is asked about beyond this many times its rule of thumb."""
LIMIT_SHARE = 0.95
"""Where enough is learned it is asked about beyond what so many of such stages stay under,"""
LEAST_MIN, LEAST_TIMES = 30.0, 1.25
"""but never before so many minutes, nor before so many times the middle."""

Ruled = dict[int, tuple[float, Dated[Rule]]]
"""Of each stage its measure and the rules of thumb of its kind."""


def with_limits(session: Session, entries: Sequence[Entry], known: Learned | None = None) -> list[Entry]:
    """The entries, each start on stages with the minutes beyond which it is asked about.

    What was learned of their kinds says so, of a kind of which too little is known the rule of thumb in
    force. Of a stage that spoiled pieces go through again only those pieces count.
    """
    stages = {stage for e in entries if e.kind == "start" for stage in e.stages}
    if not stages:
        return list(entries)
    ruled, again = rules_of(session, stages), redone(session, stages)
    sorts = sorts_of(session, stages) if known is not None else {}
    return [
        replace(e, limit_min=_limit_min(e, ruled | _redone_by(e, ruled, again), sorts, known))
        if e.kind == "start"
        else e
        for e in entries
    ]


def _redone_by(start: Entry, ruled: Ruled, again: Mapping[int, tuple[float, datetime]]) -> Ruled:
    """The rules of the stages that were being done again when a start came, with the measure of that."""
    return {s: (again[s][0], ruled[s][1]) for s in start.stages if s in again and again[s][1] <= start.at}


def _limit_min(start: Entry, ruled: Ruled, sorts: Mapping[int, Sort], known: Learned | None) -> float | None:
    """By what was learned of each kind, its stages' measures as one; of the other kinds by rule of thumb."""
    by_kind: dict[int, list[int]] = {}
    for stage in start.stages:
        if known is not None and stage in sorts and enough(known, sorts[stage].kind):
            by_kind.setdefault(sorts[stage].kind, []).append(stage)
    learned = [_learned_min(known, own, ruled, sorts) for own in by_kind.values() if known is not None]
    taken = {stage for own in by_kind.values() for stage in own}
    rest = limit_min(start, {s: of for s, of in ruled.items() if s not in taken})
    if not learned:
        return rest
    return max(sum(learned) + (rest or 0.0), LEAST_MIN)


def _learned_min(known: Learned, stages: Sequence[int], ruled: Ruled, sorts: Mapping[int, Sort]) -> float:
    """What 95 in 100 stay under, of stages of one kind that are done together: one set-up is in the fit."""
    own = [sorts[stage] for stage in stages]
    same = len({sort.pattern for sort in own}) == 1
    told = known.foretell(
        own[0].kind,
        sum(ruled[stage][0] for stage in stages),
        own[0].pattern if same else None,
        own[0].order,
    )
    return max(quantile_min(told, LIMIT_SHARE), LEAST_TIMES * exp(told.loc))


def limit_min(start: Entry, ruled: Ruled) -> float | None:
    """Twice the rule of thumb in force: one set-up, the largest, and the minutes of all measures.

    None for shop time and where no stage has a rule.
    """
    rules = [
        (ruled[s][0], in_force(ruled[s][1], start.at)) for s in start.stages if s in ruled and ruled[s][1]
    ]
    if not rules:
        return None
    return LIMIT_TIMES * (max(r.setup_min for _, r in rules) + sum(r.rate_min * q for q, r in rules))
