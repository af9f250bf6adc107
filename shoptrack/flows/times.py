"""What was learned of every kind of stage → the list: rule of thumb beside the log, range, odd ones."""

from dataclasses import dataclass
from statistics import median

import numpy as np
from sqlalchemy.orm import Session

from shoptrack.engine import durations, student
from shoptrack.engine.durations import SET_ASIDE_BELOW
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Fit, Prediction
from shoptrack.engine.shapes.quoted import SHARES, Range
from shoptrack.flows.learning import KindLearned, Learned
from shoptrack.store.log_names import LogNames, log_names
from shoptrack.store.logs import Logged
from shoptrack.store.rules import NO_RULE, Kind

NEWEST_FOR_USUAL = 60
MOST_ODD = 12
"""So many of the times that look wrong are asked about at once."""


@dataclass(frozen=True, slots=True)
class Odd:
    """A time that looks wrong: what was logged, its names, and what one in ten and nine in ten would take.

    ``machine``: it is the machine's minutes that do.
    """

    kind: Kind
    log: Logged
    names: LogNames
    minutes: float
    usual: Range
    machine: bool = False


@dataclass(frozen=True, slots=True)
class KindLine:
    """One kind of stage: how many times were logged, its rule of thumb and what the log would make of it.

    ``usual`` is its usual measure, with the range of minutes for it and what the rule of thumb says; None
    where nothing was logged. ``rule`` None: nobody said one. ``machine`` is the range of a machine's minutes.
    ``odd`` of the times were set aside as wild, and nobody said anything of them yet.
    """

    kind: Kind
    logs: int
    imported: int
    rule: Rule | None
    learned: Rule | None
    usual: float | None
    range: Range | None
    machine: Range | None
    rule_min: float | None
    odd: int


@dataclass(frozen=True, slots=True)
class Overview:
    """All kinds of stage: those in use in the shop's order, and retired ones of which there are times.

    ``odd`` are the newest times that look wrong, of kinds in use.
    """

    kinds: tuple[KindLine, ...]
    retired: tuple[KindLine, ...]
    odd: tuple[Odd, ...]


def overview(session: Session, learned: Learned) -> Overview:
    """Every kind of stage with what was learned of it. Empty: a kind without a log has its rule alone."""
    told = [kind_times(known) for known in learned.kinds.values()]
    return Overview(
        tuple(one for one in told if not one.kind.retired),
        tuple(one for one in told if one.kind.retired and one.logs),
        _newest_odd(session, learned),
    )


def _newest_odd(session: Session, learned: Learned) -> tuple[Odd, ...]:
    in_use = [known for known in learned.kinds.values() if not known.kind.retired]
    found = [(known, one, machine) for known in in_use for one, machine in odd_ones(known)]
    found.sort(key=lambda odd: odd[1].finished_at, reverse=True)
    names = log_names(session, [one for _, one, _ in found[:MOST_ODD]])
    return tuple(_odd(known, one, machine, names[one.key]) for known, one, machine in found[:MOST_ODD])


def kind_times(known: KindLearned) -> KindLine:
    """One kind, told in a line."""
    usual = usual_measure(known)
    return KindLine(
        kind=known.kind,
        logs=len(known.times),
        imported=sum(one.imported for one in known.times),
        rule=rule_of(known.kind),
        learned=learned_rule_of(known),
        usual=usual,
        range=None if usual is None else range_at(known.hands, usual),
        machine=None if usual is None else machine_range(known, usual),
        rule_min=None if usual is None else rule_min(known.kind, usual),
        odd=len(odd_ones(known)),
    )


def usual_measure(known: KindLearned) -> float | None:
    """The measure in the middle of the newest sixty; None where nothing was logged."""
    newest = known.times[-NEWEST_FOR_USUAL:]
    return median(one.quantity for one in newest) if newest else None


def rule_of(kind: Kind) -> Rule | None:
    """The rule of thumb; None where nobody said one."""
    return None if kind.rule == NO_RULE else kind.rule


def learned_rule_of(known: KindLearned) -> Rule | None:
    """The rule of thumb that the log would give, as a person would say it; None where nothing was logged."""
    return plainly(durations.learned_rule(known.hands)) if known.hands.logs else None


def plainly(rule: Rule) -> Rule:
    """A rule as a person would say it: whole minutes from ten on, below them as far as it makes a difference.

    Neither part becomes nothing by it unless the other stands.
    """
    setup, rate = float(round(rule.setup_min)), rule.rate_min
    if rate >= 10.0:
        return Rule(setup, float(round(rate)))
    return Rule(setup, round(rate, 1) if rate >= 2.0 else float(f"{rate:.3g}"))


def rule_min(kind: Kind, measure: float) -> float | None:
    """What the rule of thumb says of a measure, in minutes; None without a rule."""
    return None if kind.rule == NO_RULE else kind.rule.minutes(measure)


def range_of(foretold: Prediction) -> Range:
    """The minutes that one in ten, half, eight and nine in ten stay under."""
    beyond = student.quantile(np.array(SHARES), foretold.df)
    return Range(*(float(minutes) for minutes in np.exp(foretold.loc + foretold.scale * beyond)))


def range_at(fit: Fit, measure: float, pattern: int | None = None, orders: int = 0) -> Range:
    """The range for a measure; ``orders`` of the pattern came before."""
    return range_of(durations.predict(fit, measure, pattern, orders))


def machine_range(
    known: KindLearned, measure: float, pattern: int | None = None, orders: int = 0
) -> Range | None:
    """The range of a machine's minutes; None where none ran yet."""
    if known.machine is None or not known.machine.logs:
        return None
    return range_at(known.machine, measure, pattern, orders)


def odd_ones(known: KindLearned) -> list[tuple[Logged, bool]]:
    """The times that were set aside as wild and of which nobody said anything, newest first.

    Each with whether it is the machine's minutes that look wrong.
    """
    hands = odd_keys(known.hands)
    machine = odd_keys(known.machine) - hands if known.machine else frozenset()
    return [
        (one, one.key in machine)
        for one in reversed(known.times)
        if one.counts is None and one.key in hands | machine
    ]


def odd_keys(fit: Fit) -> frozenset[str]:
    """The keys of the logs that a fit hardly believes."""
    return frozenset(
        log.key for log, weight in zip(fit.logs, fit.weights, strict=True) if weight < SET_ASIDE_BELOW
    )


def _odd(known: KindLearned, one: Logged, machine: bool, names: LogNames) -> Odd:
    fit = known.machine if machine and known.machine else known.hands
    orders = known.repeats(one.pattern, one.order)
    minutes = one.machine_min if machine else one.hands_min
    usual = range_at(fit, one.quantity, one.pattern, orders)
    return Odd(known.kind, one, names, minutes, usual, machine)
