"""The rows of marks in a form → the marks of a glue or finish, and back to the rows they are filled with."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast, get_args

from shoptrack.engine.shapes import Joint, Mark, Role
from shoptrack.engine.units import parse_minutes, parse_warmth
from shoptrack.errors import BadInput
from shoptrack.store.recipes import MarkSpec
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.render import Wall, warmth_field
from shoptrack.web.shop.minutes import minutes_field

MOST_ROWS = 60
EMPTY_ROWS = 3
MOST_POINTS = 12
MOST_MIN = 400 * 24 * 60.0
ROLES: dict[str, str] = {
    "scrape": "scrape squeeze-out",
    "clamps off": "clamps off",
    "work": "can be worked",
    "full strength": "full strength",
    "wipe": "wipe off",
    "dust free": "dust-free",
    "recoat": "recoat",
    "handle": "can be handled",
    "food contact": "food contact",
}
"""What a mark is for, with the name it has unless another is given, in the order they come."""
JOINTS = get_args(Joint)
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class MarkFields:
    """What one row of the form is filled with."""

    key: str
    role: str = ""
    name: str = ""
    joint: str = ""
    begins: str = ""
    ends: str = ""
    hands: bool = False
    gates: bool = False
    q10: str = ""
    points: str = ""
    caution: str = ""


def mark_rows(marks: Sequence[MarkSpec], fields: Fields, wall: Wall) -> tuple[MarkFields, ...]:
    """A row for each mark and a few empty ones; as many as were sent, and more where more were asked for."""
    wanted = len(marks) + EMPTY_ROWS
    if fields:
        wanted = max(_rows_sent(fields), 1) + (EMPTY_ROWS if fields.get("more") else 0)
    filled = [_filled(f"m{n}", spec, wall) for n, spec in enumerate(marks[: wanted if fields else None])]
    empty = [MarkFields(f"m{n}") for n in range(len(filled), min(wanted, MOST_ROWS))]
    return (*filled, *empty)


def read_marks(fields: Fields, wall: Wall) -> tuple[MarkSpec, ...]:
    """The marks that were written. Raises BadInput with the field that is wrong, or where there is none."""
    keys = [f"m{n}" for n in range(min(_rows_sent(fields), MOST_ROWS))]
    rows = [key for key in keys if not fields.get(f"{key}-gone") and _written(fields, key)]
    marks: list[MarkSpec] = []
    for key in rows:
        mark = _mark(fields, key, wall)
        if any((m.mark.role, m.joint) == (mark.mark.role, mark.joint) for m in marks):
            raise BadInput("There are two marks for that and the same joint.", f"{key}-role")
        marks.append(mark)
    if not marks:
        raise BadInput("Write down at least one mark: what may be done when.", "m0-role")
    return tuple(marks)


def _rows_sent(fields: Fields) -> int:
    said = fields.get("rows", "")
    return min(int(said), MOST_ROWS) if said.isascii() and said.isdigit() and len(said) < 4 else EMPTY_ROWS


def _written(fields: Fields, key: str) -> bool:
    return any(fields.get(f"{key}-{part}", "").strip() for part in ("role", "name", "from", "until"))


def _mark(fields: Fields, key: str, wall: Wall) -> MarkSpec:
    role = forms.choice(fields, f"{key}-role", "What the mark is for", ROLES)
    begins = forms.maybe_minutes(fields, f"{key}-from", "The wait", MOST_MIN)
    ends = forms.maybe_minutes(fields, f"{key}-until", "The end", MOST_MIN)
    if begins is None and ends is None:
        raise BadInput("Say from when, or until when.", f"{key}-from")
    if begins is not None and ends is not None and ends <= begins:
        raise BadInput("It must end after it begins.", f"{key}-until")
    said = fields.get(f"{key}-joint", "")
    joint = forms.choice(fields, f"{key}-joint", "The joint", JOINTS) if said else None
    mark = Mark(
        role=cast(Role, role),
        name=forms.maybe_words(fields, f"{key}-name", "The name", 60) or ROLES[role],
        from_min=begins,
        until_min=ends,
        needs_hands=bool(fields.get(f"{key}-hands")),
        gates=bool(fields.get(f"{key}-gates")),
        q10=forms.number(fields, f"{key}-q10", "Its own factor", 1, 10),
        points=read_points(fields, f"{key}-points", wall),
        caution=forms.maybe_words(fields, f"{key}-caution", "The caution", 1000),
    )
    return MarkSpec(mark, cast("Joint | None", joint))


def read_points(fields: Fields, name: str, wall: Wall) -> Points:
    """A mark's own table as it is written, "50 = 2 h; 68 = 1 h": °C and minutes, coldest first."""
    text = fields.get(name, "").strip()
    lines = [part for part in text.replace("\n", ";").split(";") if part.strip()]
    if len(lines) > MOST_POINTS:
        raise BadInput(f"A table has at most {MOST_POINTS} lines.", name)
    points = sorted(_point(line, name, wall) for line in lines)
    if len({c for c, _ in points}) < len(points):
        raise BadInput("One temperature stands there twice.", name)
    return tuple(points)


def points_field(points: Points, wall: Wall) -> str:
    """A mark's own table as it is written."""
    return "; ".join(f"{warmth_field(c, wall)} = {minutes_field(minutes)}" for c, minutes in points)


def _point(line: str, name: str, wall: Wall) -> tuple[float, float]:
    warmth, sign, wait = line.partition("=")
    if not sign:
        raise BadInput("Write each temperature with its time: 50 = 2 h; 68 = 1 h.", name)
    c = parse_warmth(warmth, "F" if wall.temperature_unit == "F" else "C", name)
    minutes = parse_minutes(wait, name)
    if not -60 <= c <= 120 or not 0 < minutes <= MOST_MIN:
        raise BadInput(f"“{line.strip()}” can’t be meant.", name)
    return c, minutes


def _filled(key: str, spec: MarkSpec, wall: Wall) -> MarkFields:
    mark = spec.mark
    return MarkFields(
        key,
        role=mark.role,
        name=mark.name,
        joint=spec.joint or "",
        begins=minutes_field(mark.from_min),
        ends=minutes_field(mark.until_min),
        hands=mark.needs_hands,
        gates=mark.gates,
        q10="" if mark.q10 is None else f"{mark.q10:g}",
        points=points_field(mark.points, wall),
        caution=mark.caution,
    )
