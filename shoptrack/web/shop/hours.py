"""Working hours of the shop and of each person → weeks of up to three stretches a day, by date."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.store.histories import lines_about_week
from shoptrack.store.hours import DAY_NAMES, Spans, WeekSaid, say_week, week_on, week_words, weeks_of
from shoptrack.store.overtaken import not_overtaken
from shoptrack.store.shop import list_people
from shoptrack.store.tables import PersonRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.seen import seen
from shoptrack.web.shop.door import bp, editor
from shoptrack.web.shop.minutes import time_words

SPANS = 3


@dataclass(frozen=True, slots=True)
class DayFields:
    """A weekday with the fields of its stretches: (name of the first field, of the second, their values)."""

    key: str
    name: str
    spans: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Whose:
    """The shop, or a person, with the week that holds today in words."""

    person: int | None
    name: str
    words: str
    own: bool


@bp.get("/shop/hours")
def list_hours() -> str:
    with store().reading() as session:
        everyone = [_whose(session, None, "the shop")]
        everyone += [_whose(session, p.id, p.name) for p in list_people(session)]
    return render_template("shop/hours.html", everyone=everyone)


@bp.get("/shop/hours/shop", defaults={"person": None})
@bp.get("/shop/hours/<int:person>")
def show_week(person: int | None) -> str:
    return _page(person, {}, None)


@bp.post("/shop/hours/shop", defaults={"person": None})
@bp.post("/shop/hours/<int:person>")
def change_week(person: int | None) -> Answer | tuple[str, int]:
    """Say the week from a day on; from today or earlier, the hours worked since are counted again."""
    by, fields = editor(), request.form
    try:
        days, begins_on = read_week(fields), by.begins_on(fields)
        with store().writing() as session:
            _name(session, person)
            with not_overtaken(session, lines_about_week(person), seen(fields)):
                said = say_week(session, from_on=begins_on, days=days, person=person, who=by.who, now=by.now)
            counted = said and begins_on <= by.today
            if counted:
                rebuild_tally(session, by.now)
    except BadInput as wrong:
        return _page(person, fields, wrong), 400
    return redirect(f"{request.path}?said={'counted' if counted else 'saved'}", 303)


def read_week(fields: Fields) -> tuple[Spans, ...]:
    """The seven days as they were written, or Monday's for five of them.

    Raises BadInput with the day that is wrong.
    """
    if not fields.get("same"):
        return tuple(_read_day(fields, number) for number in range(7))
    monday = _read_day(fields, 0)
    return (*[monday] * 5, _read_day(fields, 5), _read_day(fields, 6))


def _read_day(fields: Fields, number: int) -> Spans:
    key, name = f"day-{number}", DAY_NAMES[number]
    spans: list[tuple[time, time]] = []
    for place in range(SPANS):
        try:
            opens = forms.maybe_clock(fields, f"{key}-{place}-from", name)
            closes = forms.maybe_clock(fields, f"{key}-{place}-until", name)
        except BadInput as wrong:
            raise BadInput(str(wrong), key) from wrong
        if (opens is None) != (closes is None):
            raise BadInput(f"On {name} a stretch has one end only.", key)
        if opens is not None and closes is not None:
            if opens >= closes:
                raise BadInput(f"On {name} a stretch ends before it begins.", key)
            spans.append((opens, closes))
    return tuple(sorted(spans))


def _page(person: int | None, fields: Fields, wrong: BadInput | None) -> str:
    by = editor()
    with store().reading() as session:
        name = _name(session, person)
        weeks = weeks_of(session, person)
        shop_week = week_on(weeks_of(session, None), by.today)
    here = week_on(weeks, by.today)
    start = (here or shop_week) if request.args.get("as") != "shop" else shop_week
    return render_template(
        "shop/week.html",
        name=name,
        person=person,
        days=_day_fields(start, fields),
        history=[(week, _words(week), week is here, week is weeks[0]) for week in reversed(weeks)],
        fields=fields,
        wrong=wrong,
    )


def _day_fields(week: WeekSaid | None, fields: Fields) -> list[DayFields]:
    return [_day(week.days[number] if week else (), number, fields) for number in range(7)]


def _day(spans: Spans, number: int, fields: Mapping[str, str]) -> DayFields:
    rows = []
    for place in range(SPANS):
        opens, closes = f"day-{number}-{place}-from", f"day-{number}-{place}-until"
        said = [f"{at:%H:%M}" for at in spans[place]] if place < len(spans) else ["", ""]
        rows.append((opens, closes, fields.get(opens, said[0]), fields.get(closes, said[1])))
    return DayFields(f"day-{number}", DAY_NAMES[number], tuple(rows))


def _words(week: WeekSaid) -> str:
    return week_words(week.days, lambda at: time_words(at, wall()))


def _whose(session: Session, person: int | None, name: str) -> Whose:
    own = week_on(weeks_of(session, person), editor().today)
    return Whose(person, name, _words(own) if own else "", own is not None)


def _name(session: Session, person: int | None) -> str:
    if person is None:
        return "the shop"
    row = session.get(PersonRow, person)
    if row is None:
        raise NotFound("There is no such person.")
    return row.name
