"""Hours by person and week: paid, on jobs, shop time, unknown and beyond, drawn beside their table."""

from datetime import timedelta

from flask import Blueprint, render_template, request

from shoptrack.flows.weeks import A_WEEK, week_view
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.here import store
from shoptrack.web.week_sheet import draw

bp = Blueprint("weeks", __name__)
bp.before_request(rights.needs_office)
COLUMNS = (
    ("paid_min", "paid"),
    ("on_jobs_min", "on jobs"),
    ("shop_min", "shop time"),
    ("unknown_min", "unknown"),
    ("beyond_min", "beyond hours"),
)


@bp.get("/weeks")
def show_week() -> str:
    view = week_view(store(), forms.maybe_day(request.args, "from", "The day"), now())
    return render_template(
        "weeks/week.html",
        sheet=draw(view),
        columns=COLUMNS,
        before=view.monday - A_WEEK,
        after=None if view.is_last else view.monday + A_WEEK,
        sunday=view.monday + timedelta(days=6),
    )
