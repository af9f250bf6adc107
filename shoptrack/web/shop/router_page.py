"""How a station reads machine programs → its settings said anew, and how its runs compare with them."""

from flask import redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.programs.router import RouterView, router_view, say
from shoptrack.store.routers import Router
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.programs_words import MM_PER_INCH, Words, feed_field
from shoptrack.web.render import Wall
from shoptrack.web.shop.door import bp, editor

STATION = "<int(max=2147483647):station>"
DWELLS = (("seconds", "seconds"), ("milliseconds", "milliseconds"))
UNITS = (("mm", "mm"), ("inch", "inches"))
FASTEST_MM_MIN = 200_000.0
MOST_CHANGE_S = 3600.0


@bp.get(f"/shop/stations/{STATION}/programs")
def show_router(station: int) -> str:
    return _page(station, {}, None)


@bp.post(f"/shop/stations/{STATION}/programs")
def say_router(station: int) -> Answer | tuple[str, int]:
    """Say how the station reads programs; those that it has are timed anew."""
    by = editor()
    try:
        view = router_view(store(), station)
        say(store(), station, read_router(request.form, view.router, by.wall), by.who, by.now)
    except BadInput as wrong:
        return _page(station, request.form, wrong), 400
    return redirect(f"/shop/stations/{station}/programs?said=saved", 303)


def read_router(fields: Fields, was: Router, wall: Wall) -> Router:
    """The settings as they were written; a rate that reads as it was shown stays as it was."""
    per_mm = 1.0 if wall.length_unit == "mm" else 1.0 / MM_PER_INCH
    most = FASTEST_MM_MIN * per_mm
    rapid = forms.number(fields, "rapid", "The rapid rate", least=most / 1_000_000, most=most)
    if rapid is None:
        raise BadInput("The rapid rate is missing.", "rapid")
    change_s = forms.number(fields, "change", "The time of a tool change", most=MOST_CHANGE_S)
    if change_s is None:
        raise BadInput("The time of a tool change is missing; 0 where there is none.", "change")
    same = feed_field(was.rapid_mm_min * per_mm) == fields.get("rapid", "").strip()
    return Router(
        dwell_unit="seconds"
        if _among(fields, "dwell", "The unit of a dwell", DWELLS) == "seconds"
        else "milliseconds",
        starts_in="mm" if _among(fields, "starts", "The unit it starts in", UNITS) == "mm" else "inch",
        knows_70_71=bool(fields.get("knows")),
        rapid_mm_min=was.rapid_mm_min if same else rapid / per_mm,
        tool_change_s=change_s,
        starting=False,
    )


def _among(fields: Fields, name: str, called: str, options: tuple[tuple[str, str], ...]) -> str:
    return forms.choice(fields, name, called, [value for value, _ in options])


def _page(station: int, fields: Fields, wrong: BadInput | None) -> str:
    view, wall = router_view(store(), station), editor().wall
    return render_template(
        "shop/router.html",
        view=view,
        rapid=_rapid(view, wall),
        unit="mm/min" if wall.length_unit == "mm" else "in/min",
        dwells=DWELLS,
        units=UNITS,
        say=Words(wall),
        fields=fields,
        wrong=wrong,
    )


def _rapid(view: RouterView, wall: Wall) -> str:
    rate = view.router.rapid_mm_min
    return feed_field(rate if wall.length_unit == "mm" else rate / MM_PER_INCH)
