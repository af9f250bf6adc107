"""Glues and finishes → their marks as a form, each version counting from now or from a day on."""

from dataclasses import dataclass, replace
from typing import Any, cast, get_args

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Below
from shoptrack.errors import BadInput
from shoptrack.store.recipe_versions import say_recipe, spec_of, versions_of
from shoptrack.store.recipes import MarkSpec, RecipeSpec
from shoptrack.store.tables import RecipeRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import degrees, warmth_field
from shoptrack.web.shop.dated import Line, in_force_now, lines
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.mark_rows import (
    JOINTS,
    ROLES,
    MarkFields,
    Points,
    mark_rows,
    points_field,
    read_marks,
)
from shoptrack.web.shop.minutes import minutes_field
from shoptrack.web.shop.thing import Thing, add_row, change_row, take_name

KINDS = ("glue", "finish")
MOST_OPEN_MIN = 24 * 60.0
USUAL_C = 20.0


@dataclass(frozen=True, slots=True)
class Shown:
    """What the form of a glue or finish is filled with."""

    rows: tuple[MarkFields, ...]
    name: str = ""
    kind: str = "glue"
    fixed: bool = False
    reference: str = ""
    q10: str = "2"
    lowest: str = ""
    below: str = "slows"
    open: str = ""
    caution: str = ""
    source: str = ""
    starting: bool = False
    history: tuple[Line, ...] = ()
    roles: tuple[tuple[str, str], ...] = tuple(ROLES.items())
    joints: tuple[tuple[str, str], ...] = tuple((joint, joint) for joint in JOINTS)


def shown(session: Session, row: Any, editor: Editor, fields: Fields) -> Shown:
    versions = versions_of(session, row.id) if row is not None else []
    version = in_force_now(versions, editor)
    if version is None:
        return Shown(mark_rows((), fields, editor.wall), reference=warmth_field(USUAL_C, editor.wall))
    spec = spec_of(version)
    return Shown(
        rows=mark_rows(spec.marks, fields, editor.wall),
        name=row.name,
        kind=row.kind,
        fixed=True,
        reference=warmth_field(spec.reference_c, editor.wall),
        q10=f"{spec.q10:g}",
        lowest=warmth_field(spec.lowest_c, editor.wall),
        below=spec.below,
        open=minutes_field(spec.open_min),
        caution=spec.caution,
        source=spec.source,
        starting=version.starting,
        history=lines(versions, editor, lambda said: marks_words(spec_of(said))),
    )


def line(session: Session, row: Any, editor: Editor) -> str:
    version = in_force_now(versions_of(session, row.id), editor)
    if version is None:
        return str(row.kind)
    spec = spec_of(version)
    said = [row.kind, marks_words(spec)]
    said += ["" if spec.lowest_c is None else f"not under {degrees(spec.lowest_c, editor.wall)}"]
    said += ["starting value" if version.starting else ""]
    return ", ".join(part for part in said if part)


def marks_words(spec: RecipeSpec) -> str:
    """The marks in one line: "clamps off from 1 h, recoat from 6 h until 20 h"."""
    return ", ".join(_mark_words(m) for m in spec.marks)


def _mark_words(spec: MarkSpec) -> str:
    mark = spec.mark
    begins = f" {minutes_field(mark.from_min)}" if mark.from_min is not None else ""
    ends = f" until {minutes_field(mark.until_min)}" if mark.until_min is not None else ""
    return f"{mark.name}{f' ({spec.joint})' if spec.joint else ''}{begins}{ends}"


def write(session: Session, row: Any, editor: Editor, fields: Fields) -> Any:
    """Add a glue or finish, or say what it does from a date on."""
    name = take_name(session, RecipeRow, row, fields)
    spec = read_spec(fields, editor)
    if row is None:
        row = RecipeRow(name=name, kind=forms.choice(fields, "kind", "Glue or finish", KINDS))
        add_row(session, editor, row)
    else:
        spec = _as_stored(session, row, spec, editor)
        change_row(session, editor, row, name=name)
    checked = bool(fields.get("checked"))
    say_recipe(session, row.id, spec, editor.begins_at(fields), editor.who, editor.now, checked=checked)
    return row


def read_spec(fields: Fields, editor: Editor) -> RecipeSpec:
    """What was written of a glue or finish. Raises BadInput with the field that is wrong."""
    reference = forms.maybe_warmth(fields, "reference", "The temperature the times are for", editor.wall)
    q10 = forms.number(fields, "q10", "The factor", 1, 10)
    if reference is None:
        raise BadInput("Say for which temperature the times are.", "reference")
    return RecipeSpec(
        marks=read_marks(fields, editor.wall),
        reference_c=reference,
        q10=2.0 if q10 is None else q10,
        lowest_c=forms.maybe_warmth(fields, "lowest", "The lowest temperature", editor.wall),
        below=cast(Below, forms.choice(fields, "below", "What the cold does", get_args(Below))),
        open_min=forms.maybe_minutes(fields, "open", "The open time", MOST_OPEN_MIN) or None,
        caution=forms.maybe_words(fields, "caution", "The caution", forms.LONGEST_NOTE),
        source=forms.maybe_words(fields, "source", "Where it is from", 1000),
    )


def _as_stored(session: Session, row: Any, spec: RecipeSpec, editor: Editor) -> RecipeSpec:
    """The spec with degrees that only lost what the field does not show taken from the version in force."""
    version = in_force_now(versions_of(session, row.id), editor)
    if version is None:
        return spec
    was = spec_of(version)
    held = {
        name: getattr(was, name)
        for name in ("reference_c", "lowest_c")
        if warmth_field(getattr(was, name), editor.wall) == warmth_field(getattr(spec, name), editor.wall)
    }
    kept = {(m.mark.role, m.joint): m.mark.points for m in was.marks}
    marks = tuple(_with_points(m, kept.get((m.mark.role, m.joint), ()), editor) for m in spec.marks)
    return replace(spec, marks=marks, **held)


def _with_points(spec: MarkSpec, was: Points, editor: Editor) -> MarkSpec:
    if points_field(spec.mark.points, editor.wall) != points_field(was, editor.wall):
        return spec
    return replace(spec, mark=replace(spec.mark, points=was))


RECIPES = Thing(
    what="recipes",
    title="Glues and finishes",
    one="glue or finish",
    intro="What may be done when after closing, by the warmth the wood is at. The maker’s data sheet wins.",
    table=RecipeRow,
    order="name",
    line=line,
    shown=shown,
    write=write,
)
