"""A stage or a whole job → the forms that say something of it: note, mend, spoil, put aside, take up."""

from typing import Any

from flask import Blueprint, render_template, request

from shoptrack.engine.units import decimals_of
from shoptrack.errors import NotFound
from shoptrack.flows.entry_fields import CAUSES, REASONS
from shoptrack.flows.jobs import job_view
from shoptrack.flows.off_plan import OffPlan, off_plan
from shoptrack.flows.shopfloor import gather_job
from shoptrack.store.rates import list_rates
from shoptrack.web.clock import now
from shoptrack.web.here import store, wall
from shoptrack.web.rights import acting

bp = Blueprint("say", __name__, url_prefix="/jobs/<int(max=2147483647):job>")


@bp.get("/say")
def say_of_job(job: int) -> str:
    view = job_view(gather_job(store(), job, now()), job)
    return render_template("corrections/say_job.html", view=view, told=left_plan(job), **_offered())


@bp.get("/stages/<int:stage>/say")
def say_of_stage(job: int, stage: int) -> str:
    view = job_view(gather_job(store(), job, now()), job)
    step = next((s for s in view.line.steps if s.stage.id == stage), None)
    if step is None:
        raise NotFound("There is no such stage in this job.")
    return render_template("corrections/say_stage.html", view=view, s=step, **_offered())


@bp.app_template_global("left_plan")
def left_plan(job: int) -> OffPlan:
    """Where a job left its plan, for the pages that show it."""
    with store().reading() as session:
        rates = list_rates(session)
    return off_plan(gather_job(store(), job, now()), job, rates)


def _offered() -> dict[str, Any]:
    """The words to choose from, and whose name is likely: who came from their bench, or works here."""
    by = request.args.get("person", acting() or "")
    return {"causes": CAUSES, "reasons": REASONS, "by": str(by), "decimals": decimals_of(wall().currency)}
