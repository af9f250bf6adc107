"""The pages of all things of the shop: listed, added, changed, put in order, retired and brought back."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.flows.shop_uses import in_hand_of
from shoptrack.store.histories import changes_of, lines_about
from shoptrack.store.overtaken import not_overtaken
from shoptrack.store.uses import Use, uses_of
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.seen import seen
from shoptrack.web.shop.clamps import CLAMPS
from shoptrack.web.shop.door import bp, editor, is_there
from shoptrack.web.shop.edge_kinds_page import EDGE_KINDS
from shoptrack.web.shop.history_words import tell
from shoptrack.web.shop.materials import MATERIALS
from shoptrack.web.shop.people import PEOPLE
from shoptrack.web.shop.recipes import RECIPES
from shoptrack.web.shop.rooms import ROOMS
from shoptrack.web.shop.stage_kinds import STAGE_KINDS
from shoptrack.web.shop.stations import STATIONS
from shoptrack.web.shop.thing import Thing, just_added, put_at, set_retired
from shoptrack.web.shop.tools import TOOLS

THINGS: Mapping[str, Thing] = {
    thing.what: thing
    for thing in (PEOPLE, ROOMS, STATIONS, CLAMPS, TOOLS, EDGE_KINDS, MATERIALS, RECIPES, STAGE_KINDS)
}
ANY = "<any({}):what>".format(", ".join(f'"{what}"' for what in THINGS))


@dataclass(frozen=True, slots=True)
class Listed:
    """One of the things as its list shows it."""

    id: int
    name: str
    line: str


@bp.get(f"/shop/{ANY}")
def list_things(what: str) -> str:
    return _list_page(THINGS[what], {}, None)


@bp.post(f"/shop/{ANY}")
def add_thing(what: str) -> Answer | str | tuple[str, int]:
    """Add one; the same form sent twice adds it once."""
    thing, fields = THINGS[what], request.form
    if fields.get("more"):
        return _list_page(thing, fields, None)
    try:
        _add(thing, fields)
    except BadInput as wrong:
        return _list_page(thing, fields, wrong), 400
    return redirect(f"/shop/{what}", 303)


@bp.get(f"/shop/{ANY}/<int:id_>")
def show_thing(what: str, id_: int) -> str:
    return thing_page(THINGS[what], id_, {}, None)


@bp.post(f"/shop/{ANY}/<int:id_>")
def change_thing(what: str, id_: int) -> Answer | str | tuple[str, int]:
    """Say what is new of it, from now or from a day on."""
    thing, fields = THINGS[what], request.form
    if fields.get("more"):
        return thing_page(thing, id_, fields, None)
    try:
        with store().writing() as session:
            row = thing.row(session, id_)
            with not_overtaken(session, lines_about(row), seen(fields)):
                _, counted = _write(session, thing, row, fields)
    except BadInput as wrong:
        return thing_page(thing, id_, fields, wrong), 400
    return redirect(f"/shop/{what}/{id_}?said={'counted' if counted else 'saved'}", 303)


@bp.post(f"/shop/{ANY}/<int:id_>/place")
def place_thing(what: str, id_: int) -> Answer:
    """Put it at a place of the list; twice is the same as once."""
    thing, place = THINGS[what], forms.whole(request.form, "place", "The place")
    with store().writing() as session:
        if thing.placed:
            put_at(session, thing, thing.row(session, id_), place, editor())
    return redirect(f"/shop/{what}", 303)


@bp.post(f"/shop/{ANY}/<int:id_>/retired")
def retire_thing(what: str, id_: int) -> Answer | str:
    """Retire it, once more asked where open work still uses it; or bring it back."""
    thing, retired = THINGS[what], request.form.get("retired") == "yes"
    with store().writing() as session:
        row = thing.row(session, id_)
        _refuse_last_person(session, thing, row, retired)
        asks = _uses(session, row) if retired and row.retired_at is None else ()
        if not asks or request.form.get("sure"):
            set_retired(session, row, retired, editor())
            return redirect(f"/shop/{what}" if retired else f"/shop/{what}/{id_}", 303)
    return thing_page(thing, id_, {}, None, asks=True)


def _add(thing: Thing, fields: Fields) -> None:
    """Write a new one, unless the same form was sent a moment ago; then what is tapped of it."""
    with store().writing() as session:
        made = just_added(session, thing.table, editor(), fields)
        if made is None:
            made, _ = _write(session, thing, None, fields)
        id_: int = made.id
    if thing.added is not None:
        thing.added(store(), id_, editor())


def _write(session: Session, thing: Thing, row: Any, fields: Fields) -> tuple[Any, bool]:
    """Write it, and count past hours again where it counts from before now; gives whether it did too."""
    by = editor()
    row = thing.write(session, row, by, fields)
    counted = thing.dated and by.begins_at(fields) < by.now
    if counted:
        rebuild_tally(session, by.now)
    return row, counted


def _refuse_last_person(session: Session, thing: Thing, row: Any, retired: bool) -> None:
    if retired and thing.what == PEOPLE.what and [*thing.rows(session)] == [row]:
        raise BadInput("Somebody must be left to work here; add a person first.")


def _uses(session: Session, row: Any) -> tuple[Use, ...]:
    by = editor()
    return (*uses_of(session, row), *in_hand_of(store(), session, row, by.now))


def _list_page(thing: Thing, fields: Fields, wrong: BadInput | None) -> str:
    by = editor()
    with store().reading() as session:
        listed = [_listed(session, thing, row) for row in thing.rows(session)]
        retired = [_listed(session, thing, row) for row in thing.rows(session, retired=True)]
        shown = thing.shown(session, None, by, fields)
    page = "shop/things.html"
    return render_template(
        page, thing=thing, listed=listed, retired=retired, v=shown, fields=fields, wrong=wrong
    )


def _listed(session: Session, thing: Thing, row: Any) -> Listed:
    return Listed(row.id, row.name, thing.line(session, row, editor()))


def thing_page(thing: Thing, id_: int, fields: Fields, wrong: BadInput | None, *, asks: bool = False) -> str:
    """One of the things on its own page, with what was typed and what is wrong with it."""
    with store().reading() as session:
        row = thing.row(session, id_)
        uses = _uses(session, row)
        changed = tell(changes_of(session, row), editor().now, editor().wall)
        shown = thing.shown(session, row, editor(), fields)
        line = thing.line(session, row, editor())
    return render_template(
        "shop/thing.html",
        thing=thing,
        row=row,
        line=line,
        uses=uses,
        has_pins=is_there("/office/pin"),
        asks=asks,
        changed=changed,
        v=shown,
        fields=fields,
        wrong=wrong,
    )
