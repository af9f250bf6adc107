"""How often promised dates held, by the chance that was shown."""

from flask import render_template

from shoptrack.flows.dates_held import FEWEST, dates_held
from shoptrack.web.clock import now
from shoptrack.web.here import store, wall
from shoptrack.web.times.door import bp


@bp.get("/times/dates")
def show_dates() -> str:
    with store().reading() as session:
        found = dates_held(session, wall().local(now()).date())
    return render_template("times/dates.html", found=found, fewest=FEWEST)
