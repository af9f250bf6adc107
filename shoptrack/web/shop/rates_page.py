"""Rates → what an hour of hands or of a machine costs, by date."""

from dataclasses import dataclass
from itertools import groupby

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.engine.units import show_cents
from shoptrack.errors import BadInput
from shoptrack.store.names import people_names, station_names
from shoptrack.store.rates import list_rates, set_rate
from shoptrack.store.shop import list_people, list_stations
from shoptrack.store.tables import PersonRow, RateRow, StationRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.shop.dated import Line, lines_from_their_day
from shoptrack.web.shop.door import Editor, bp, editor
from shoptrack.web.shop.stations import chosen

ANYBODY = "hands"


@dataclass(frozen=True, slots=True)
class Rated:
    """What an hour of somebody or something costs, with all that it did."""

    whose: str
    name: str
    history: tuple[Line, ...]

    @property
    def words(self) -> str:
        """What it costs now; nothing while no day that was said has come."""
        return next((line.words for line in self.history if line.now), "")


@bp.get("/shop/rates")
def show_rates() -> str:
    return _page({}, None)


@bp.post("/shop/rates")
def add_rate() -> Answer | tuple[str, int]:
    """Say what an hour costs from a day on."""
    try:
        with store().writing() as session:
            _set(session, request.form, editor())
    except BadInput as wrong:
        return _page(request.form, wrong), 400
    return redirect("/shop/rates", 303)


def _set(session: Session, fields: Fields, by: Editor) -> None:
    what, _, id_ = fields.get("whose", "").partition("-")
    if what not in (ANYBODY, "person", "station") or (what != ANYBODY and not id_):
        raise BadInput("Choose whose hour it is.", "whose")
    cents = forms.maybe_cents(fields, "rate", by.wall.currency)
    if cents is None:
        raise BadInput("Say what an hour costs.", "rate")
    said = {"whose": id_}
    person = chosen(session, PersonRow, said, "whose", "That person") if what == "person" else None
    station = chosen(session, StationRow, said, "whose", "That machine") if what == "station" else None
    set_rate(
        session,
        cents_per_h=cents,
        from_on=by.begins_on(fields),
        who=by.who,
        now=by.now,
        person=person,
        station=station,
    )


def _page(fields: Fields, wrong: BadInput | None) -> str:
    by = editor()
    with store().reading() as session:
        rated = _rated(session, by)
        people = [(f"person-{p.id}", f"an hour of {p.name}’s hands") for p in list_people(session)]
        stations = [(f"station-{s.id}", f"an hour of the {s.name}") for s in list_stations(session)]
    options = [(ANYBODY, "an hour of anybody’s hands"), *people, *stations]
    return render_template("shop/rates.html", rated=rated, options=options, fields=fields, wrong=wrong)


def _rated(session: Session, by: Editor) -> list[Rated]:
    people, stations = people_names(session), station_names(session)
    found = []
    for whose, rows in groupby(list_rates(session), key=_whose):
        row, *_ = said = list(rows)
        name = "anybody’s hands"
        if row.person_id is not None:
            name = people[row.person_id]
        elif row.station_id is not None:
            name = stations[row.station_id]
        history = lines_from_their_day(said, by, lambda r: show_cents(r.cents_per_h, by.wall.currency))
        found.append(Rated(whose, name, history))
    return found


def _whose(row: RateRow) -> str:
    if row.station_id is not None:
        return f"station-{row.station_id}"
    return ANYBODY if row.person_id is None else f"person-{row.person_id}"
