"""The months: what was done, earned and spent in each, closed for good, and what changed since."""

from datetime import date

from flask import Blueprint, redirect, render_template
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import NotFound
from shoptrack.flows import months
from shoptrack.store.months import deposits_owed
from shoptrack.web import rights
from shoptrack.web.clock import now
from shoptrack.web.here import store

bp = Blueprint("months", __name__, url_prefix="/months")
bp.before_request(rights.needs_office)
TITLES = {
    "job_min": "hours on jobs, ",
    "shop_min": "shop time, ",
    "kind_min": "hours on jobs, ",
    "job_min_all": "hours on jobs, ",
    "shop_min_all": "shop time, ",
    "spent": "spent, ",
}


def _month(text: str) -> date:
    """The first day of a month written 2026-11. Raises NotFound for what is no month."""
    try:
        return date.fromisoformat(f"{text}-01")
    except ValueError as problem:
        raise NotFound("There is no such month.") from problem


@bp.get("")
def list_months() -> str:
    with store().reading() as session:
        return render_template(
            "months/list.html", months=months.list_months(session, now()), owed=deposits_owed(session),
            named=months.named,
        )  # fmt: skip


@bp.get("/<month>")
def show_month(month: str) -> str:
    with store().reading() as session:
        view = months.month_view(session, _month(month), now())
    return render_template("months/month.html", view=view, named=months.named, titles=TITLES)


@bp.post("/<month>/closed")
def close_month(month: str) -> Answer:
    months.close_month(store(), _month(month), rights.acting(), now())
    return redirect(f"/months/{month}", 303)
