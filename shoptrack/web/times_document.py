"""What was learned of the kinds of stage → the document of the times that programs are given."""

from collections.abc import Mapping
from dataclasses import astuple, dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.quoted import Range
from shoptrack.errors import NotFound
from shoptrack.flows.learning import KindLearned, Learned
from shoptrack.flows.times import learned_rule_of, odd_ones, rule_of, usual_measure
from shoptrack.flows.times_of_kind import Foretelling, PatternTimes, foretell, known_kind, pattern_times
from shoptrack.store.db import head
from shoptrack.store.log_names import pattern_names
from shoptrack.web import forms
from shoptrack.web.document_shapes import (
    ForetoldDoc,
    KindTimesDoc,
    PatternTimesDoc,
    RuleDoc,
    TimesDoc,
)
from shoptrack.web.forms import Fields
from shoptrack.web.quote_shapes import RangeDoc

LEAST_QUANTITY, MOST_QUANTITY = 0.01, 100_000.0


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked for: one kind or all, a measure or the usual one, one pattern or all."""

    kind: int | None = None
    quantity: float | None = None
    pattern: int | None = None


def wanted_of(asked: Fields) -> Wanted:
    """What the address asks for. Raises BadInput for what can't be meant."""
    said = {name: asked[name] or "?" for name in ("kind", "quantity", "pattern") if name in asked}
    return Wanted(
        forms.maybe_id(said, "kind", "The kind of stage"),
        forms.number(said, "quantity", "The quantity", LEAST_QUANTITY, MOST_QUANTITY),
        forms.maybe_id(said, "pattern", "The pattern"),
    )


def times_doc(session: Session, now: datetime, learned: Learned, wanted: Wanted) -> TimesDoc:
    """The document. Raises NotFound for a kind or pattern that is not there."""
    at, patterns = head(session), pattern_names(session)
    if wanted.pattern is not None and wanted.pattern not in patterns:
        raise NotFound("There is no such pattern.")
    if wanted.kind is not None:
        known_kind(learned, wanted.kind)
    kinds = [known for id, known in learned.kinds.items() if wanted.kind in (None, id)]
    told = tuple(_kind_doc(known, patterns, wanted) for known in kinds)
    return TimesDoc(at.database_id, at.revision, now, told)


def _kind_doc(known: KindLearned, names: Mapping[int, str], wanted: Wanted) -> KindTimesDoc:
    patterns = [p for p in pattern_times(known, names) if wanted.pattern in (None, p.id)]
    return KindTimesDoc(
        kind=known.kind.id,
        name=known.kind.name,
        unit=known.kind.unit,
        attendance=known.kind.attendance,
        retired=known.kind.retired,
        logs=len(known.times),
        imported=sum(one.imported for one in known.times),
        set_aside=len(odd_ones(known)),
        rule=_rule_doc(rule_of(known.kind)),
        learned=_rule_doc(learned_rule_of(known)),
        usual_quantity=usual_measure(known),
        foretold=_foretold(known, wanted),
        patterns=tuple(_pattern_doc(one) for one in patterns),
    )


def _foretold(known: KindLearned, wanted: Wanted) -> ForetoldDoc | None:
    quantity = wanted.quantity or usual_measure(known)
    if quantity is None or (rule_of(known.kind) is None and not known.hands.logs):
        return None
    return _foretold_doc(foretell(known, quantity, wanted.pattern))


def _foretold_doc(told: Foretelling) -> ForetoldDoc:
    machine = None if told.machine is None else _range_doc(told.machine)
    return ForetoldDoc(told.measure, told.pattern or None, _range_doc(told.range), machine, told.sentence)


def _pattern_doc(one: PatternTimes) -> PatternTimesDoc:
    learned = RuleDoc(one.learned.setup_min, one.learned.rate_min)
    return PatternTimesDoc(one.id, one.name, one.logs, one.orders, learned)


def _rule_doc(rule: Rule | None) -> RuleDoc | None:
    return None if rule is None else RuleDoc(rule.setup_min, rule.rate_min)


def _range_doc(found: Range) -> RangeDoc:
    return RangeDoc(*(round(minutes, 2) for minutes in astuple(found)))
