"""Kinds of stage with the rule of thumb that is in force."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Dated, Rule
from shoptrack.store.tables import RuleRow, StageKindRow

NO_RULE = Rule(setup_min=0.0, rate_min=0.0)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of stage as it teaches: ``unit`` of its measure, who must be there, its rule of thumb now.

    ``starting``: the rule is a starting value still.
    """

    id: int
    name: str
    unit: str
    attendance: str
    rule: Rule
    starting: bool
    retired: bool

    @property
    def watched(self) -> bool:
        """Whether a machine runs in it, with somebody within earshot."""
        return self.attendance == "within earshot"


def kinds_with_rules(session: Session, now: datetime) -> dict[int, Kind]:
    """Every kind that hands or earshot go into, in the shop's order, with the rule in force at ``now``.

    The first rule of a kind holds before its day too. Rests are not here: they take time, not anybody's.
    Where no rule was said both its parts are nought.
    """
    rules: dict[int, RuleRow] = {}
    for row in session.scalars(select(RuleRow).order_by(RuleRow.from_at)):
        if row.kind_id not in rules or row.from_at <= now:
            rules[row.kind_id] = row
    kinds = session.scalars(select(StageKindRow).order_by(StageKindRow.position, StageKindRow.id))
    return {
        kind.id: Kind(
            id=kind.id,
            name=kind.name,
            unit=kind.unit,
            attendance=kind.attendance,
            rule=Rule(rules[kind.id].setup_min, rules[kind.id].rate_min) if kind.id in rules else NO_RULE,
            starting=kind.id in rules and rules[kind.id].starting,
            retired=kind.retired_at is not None,
        )
        for kind in kinds
        if kind.attendance != "none"
    }


def dated_rules(session: Session) -> dict[int, Dated[Rule]]:
    """The rules of thumb of every kind, each from when it counts, oldest first. Empty: none was ever said."""
    found: dict[int, Dated[Rule]] = {}
    for row in session.scalars(select(RuleRow).order_by(RuleRow.from_at)):
        found[row.kind_id] = (*found.get(row.kind_id, ()), (row.from_at, Rule(row.setup_min, row.rate_min)))
    return found
