"""A country and its part → this year's and next year's holidays to tick, and days off of the shop."""

from datetime import date

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.store.edits import edit
from shoptrack.store.holidays import add_holidays, check_place, countries, offered, parts
from shoptrack.store.shop import shop_row
from shoptrack.store.zones import countries_of_zones
from shoptrack.web.here import store, wall
from shoptrack.web.shop.days_off import recount
from shoptrack.web.shop.door import bp, editor


@bp.get("/shop/holidays")
def choose_holidays() -> str:
    """The holidays of the place that is asked for, else of the one the shop named last."""
    with store().reading() as session:
        kept = shop_row(session).holidays_of or ""
    country = request.args.get("country", kept.partition("-")[0])
    part = request.args.get("part", "" if "country" in request.args else kept.partition("-")[2])
    return _page(country, part)


@bp.post("/shop/holidays")
def add_chosen() -> Answer:
    """Close the shop on the ticked days; the same press twice adds nothing."""
    place = check_place(request.form.get("country", ""), request.form.get("part", ""))
    ticked = {day for text in request.form.getlist("day") if (day := _day(text)) is not None}
    with store().writing() as session:
        _close(session, place, ticked)
    country, _, part = place.partition("-")
    return redirect(f"/shop/holidays?country={country}&part={part}", 303)


def _close(session: Session, place: str, ticked: set[date]) -> None:
    by = editor()
    edit(session, shop_row(session), by.who, by.now, holidays_of=place)
    added = add_holidays(session, place, _years(by.today), ticked, who=by.who, now=by.now)
    recount(session, min((row.first_on for row in added), default=None), by.today, by.now)


def _page(country: str, part: str) -> str:
    by = editor()
    if country and part not in dict(parts(country)):
        part = ""
    with store().reading() as session:
        known = country in dict(countries())
        days = offered(session, check_place(country, part), _years(by.today)) if known else ()
    return render_template(
        "shop/holidays.html",
        countries=countries(),
        parts=parts(country),
        country=country if known else "",
        part=part,
        likely=countries_of_zones().get(wall().zone, ""),
        coming=[h for h in days if h.on >= by.today],
        past=[h for h in days if h.on < by.today],
        years=_years(by.today),
    )


def _years(today: date) -> tuple[int, int]:
    return today.year, today.year + 1


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
