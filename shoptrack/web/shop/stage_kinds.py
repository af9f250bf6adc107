"""Kinds of stage of the shop's own → what a new stage starts from, and the rule of thumb by date."""

from dataclasses import dataclass
from typing import Any, get_args

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Attendance, Interruption
from shoptrack.errors import BadInput
from shoptrack.store.dated_rows import said_of, say_from
from shoptrack.store.tables import RuleRow, StageKindRow
from shoptrack.store.uses import ever_planned
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.rule_fields import read_rule
from shoptrack.web.shop.dated import Line, in_force_now, lines
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.minutes import minutes_field
from shoptrack.web.shop.thing import Thing, add_row, change_row, end_of_list, take_name


@dataclass(frozen=True, slots=True)
class Shown:
    """What the form of a kind of stage is filled with."""

    name: str = ""
    unit: str = ""
    attendance: str = "hands-on"
    interruption: str = "any"
    dusty: bool = False
    caution: str = ""
    setup: str = ""
    rate: str = ""
    starting: bool = False
    fixed: bool = False
    history: tuple[Line, ...] = ()


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Shown:
    if row is None:
        return Shown()
    rules = said_of(session, RuleRow, {"kind_id": row.id})
    rule = in_force_now(rules, editor)
    return Shown(
        row.name,
        row.unit,
        row.attendance,
        row.interruption,
        row.dusty,
        row.caution,
        "" if rule is None else minutes_field(rule.setup_min),
        "" if rule is None else minutes_field(rule.rate_min),
        rule is not None and rule.starting,
        ever_planned(session, row),
        lines(rules, editor, _words),
    )


def line(session: Session, row: Any, editor: Editor) -> str:
    rule = in_force_now(said_of(session, RuleRow, {"kind_id": row.id}), editor)
    said = [f"in {row.unit}", _words(rule) if rule is not None else ""]
    said += ["" if row.attendance == "hands-on" else _ATTENDED[row.attendance]]
    said += ["starting value" if rule is not None and rule.starting else ""]
    return ", ".join(part for part in said if part)


def _words(rule: Any) -> str:
    said = [f"{minutes_field(rule.setup_min)} set-up" if rule.setup_min else ""]
    said += [f"{minutes_field(rule.rate_min)} each" if rule.rate_min else ""]
    return ", ".join(part for part in said if part) or "no minutes"


_ATTENDED = {"within earshot": "somebody within earshot", "none": "nobody at it"}


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a kind of stage, or say what is new of it; the rule of thumb counts from a date on."""
    values: dict[str, Any] = {
        "name": take_name(session, StageKindRow, row, fields),
        "unit": forms.words(fields, "unit", "What it is measured in", 40),
        "attendance": forms.choice(fields, "attendance", "Who is at it", get_args(Attendance)),
        "interruption": forms.choice(
            fields, "interruption", "Whether it may be left", get_args(Interruption)
        ),
        "dusty": bool(fields.get("dusty")),
        "caution": forms.maybe_words(fields, "caution", "The caution", forms.LONGEST_NOTE),
    }
    rule = read_rule(fields)
    if row is None:
        row = StageKindRow(**values, position=end_of_list(session, StageKindRow))
        add_row(session, editor, row)
    else:
        _refuse_unit(session, row, values["unit"])
        change_row(session, editor, row, **values)
    owner, begins_at = {"kind_id": row.id}, editor.begins_at(fields)
    said = {"setup_min": rule.setup_min, "rate_min": rule.rate_min}
    say_from(session, RuleRow, owner, begins_at, editor.who, editor.now, **said)
    return row


def _refuse_unit(session: Session, row: Any, unit: str) -> None:
    if unit != row.unit and ever_planned(session, row):
        raise BadInput(
            f"Stages of this kind were planned in {row.unit}; add a kind of its own for another unit.", "unit"
        )


STAGE_KINDS = Thing(
    what="kinds",
    title="Kinds of stage",
    one="kind of stage",
    intro="What a stage of a pattern or a job can be. The rule of thumb is the shop’s first guess; it "
    "answers until the log does.",
    table=StageKindRow,
    order="position",
    line=line,
    shown=shown,
    write=write,
    placed=True,
)
