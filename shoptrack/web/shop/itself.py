"""The shop itself → its name, zone, units, currency and clock, and whether quotes count in promises."""

import re
from typing import Any

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.store.edits import edit
from shoptrack.store.histories import changes_of, lines_about
from shoptrack.store.overtaken import not_overtaken
from shoptrack.store.shop import shop_row
from shoptrack.store.zones import all_zones, zones_by_area
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.seen import seen
from shoptrack.web.shop.door import bp, editor
from shoptrack.web.shop.history_words import tell

CURRENCY = re.compile(r"[A-Z]{3}")


@bp.get("/shop/itself")
def show_itself() -> str:
    return _page({}, None)


@bp.post("/shop/itself")
def change_itself() -> Answer | tuple[str, int]:
    """Say what is new of the shop; another zone counts all past hours again."""
    try:
        values = read_shop(request.form)
        with store().writing() as session:
            _change(session, values)
    except BadInput as wrong:
        return _page(request.form, wrong), 400
    return redirect("/shop/itself?said=saved", 303)


def read_shop(fields: Fields) -> dict[str, Any]:
    """The columns of the shop's row as they were written. Raises BadInput with the field that is wrong."""
    currency = forms.words(fields, "currency", "The currency", 10).upper()
    if not CURRENCY.fullmatch(currency):
        raise BadInput("A currency has three letters, like USD or EUR.", "currency")
    return {
        "name": forms.words(fields, "name", "The name", 80),
        "zone": forms.choice(fields, "zone", "The time zone", all_zones()),
        "length_unit": forms.choice(fields, "length_unit", "The unit of length", ("in", "mm")),
        "temperature_unit": forms.choice(fields, "temperature_unit", "The unit of warmth", ("F", "C")),
        "currency": currency,
        "clock_24h": forms.choice(fields, "clock", "The clock", ("24", "12")) == "24",
        "weigh_quotes_bp": _weigh_quotes(fields),
    }


def _weigh_quotes(fields: Fields) -> int | None:
    """The chance that a quote which is out is taken, None where quotes don't count."""
    share = forms.maybe_share(fields, "weigh_quotes")
    if share is not None and not 0 <= share <= 10_000:
        raise BadInput("Of 100 quotes between 0 and 100 are taken.", "weigh_quotes")
    return share


def _change(session: Session, values: dict[str, Any]) -> None:
    by, row = editor(), shop_row(session)
    moved = row.zone != values["zone"]
    with not_overtaken(session, lines_about(row), seen(request.form), tuple(values)):
        edit(session, row, by.who, by.now, **values)
    if moved:
        rebuild_tally(session, by.now)


def _page(fields: Fields, wrong: BadInput | None) -> str:
    with store().reading() as session:
        row = shop_row(session)
        changed = tell(changes_of(session, row), editor().now, editor().wall)
    zones = zones_by_area(row.zone)
    page = "shop/itself.html"
    return render_template(page, row=row, zones=zones, changed=changed, fields=fields, wrong=wrong)
