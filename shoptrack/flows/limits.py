"""Starts that were tapped → the same with the minutes beyond which the Bench asks about them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Dated, Entry, Rule, in_force
from shoptrack.store.known import redone, rules_of

LIMIT_TIMES = 2
"""A stint is asked about beyond this many times its rule of thumb."""

Ruled = dict[int, tuple[float, Dated[Rule]]]
"""Of each stage its measure and the rules of thumb of its kind."""


def with_limits(session: Session, entries: Sequence[Entry]) -> list[Entry]:
    """The entries, each start on stages with the minutes beyond which it is asked about.

    Twice the rule of thumb in force: one set-up, the largest, and the minutes of all its stages' measures;
    of a stage that spoiled pieces go through again, of those pieces.
    """
    stages = {stage for e in entries if e.kind == "start" for stage in e.stages}
    if not stages:
        return list(entries)
    ruled, again = rules_of(session, stages), redone(session, stages)
    return [
        replace(e, limit_min=limit_min(e, ruled | _redone_by(e, ruled, again))) if e.kind == "start" else e
        for e in entries
    ]


def _redone_by(start: Entry, ruled: Ruled, again: Mapping[int, tuple[float, datetime]]) -> Ruled:
    """The rules of the stages that were being done again when a start came, with the measure of that."""
    return {s: (again[s][0], ruled[s][1]) for s in start.stages if s in again and again[s][1] <= start.at}


def limit_min(start: Entry, ruled: Ruled) -> float | None:
    """Minutes after which a start is asked about; None for shop time and where no stage has a rule."""
    rules = [(q, in_force(rule, start.at)) for q, rule in (ruled[s] for s in start.stages) if rule]
    if not rules:
        return None
    return LIMIT_TIMES * (max(r.setup_min for _, r in rules) + sum(r.rate_min * q for q, r in rules))
