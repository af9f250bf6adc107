"""The end of a job: what it took and cost, closed or called off, and opened again."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.job_change import call_off, close
from shoptrack.flows.job_facts import job_facts
from shoptrack.flows.job_money import reckon
from shoptrack.flows.jobs import job_view, set_closed
from shoptrack.flows.quoted_against import against
from shoptrack.flows.shopfloor import gather_job
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.job_fields import day_said

bp = Blueprint("job_end", __name__, url_prefix="/jobs/<int(max=2147483647):job>")
bp.before_request(rights.needs_office)


@bp.get("/end")
def ask_end(job: int) -> str:
    return _page(job, {})


def _page(job: int, fields: Fields, wrong: BadInput | None = None) -> str:
    sight = gather_job(store(), job, now())
    with store().reading() as session:
        facts, sums = job_facts(session, job), reckon(session, sight, job)
        quoted = against(session, job) if facts.closed_at else None
    return render_template(
        "jobs/end.html", facts=facts, sums=sums, line=job_view(sight, job).line, quoted=quoted,
        asked=[q for q in sight.questions if q.job == job and not q.soft],
        today=wall().local(now()).date(), fields=fields, wrong=wrong,
    )  # fmt: skip


@bp.post("/closed")
def close_or_reopen(job: int) -> Answer | tuple[str, int]:
    today, on = wall().local(now()).date(), None
    try:
        if request.form.get("closed") != "yes":
            set_closed(store(), job, False, rights.acting(), now())
            return redirect(f"/jobs/{job}", 303)
        if forms.maybe_day(request.form, "delivered_on", "The day of delivery"):
            on = day_said(request.form, "delivered_on", "The day of delivery", today)
        close(store(), job, on, rights.acting(), now())
    except BadInput as wrong:
        return _page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/end", 303)


@bp.post("/called-off")
def end_without(job: int) -> Answer | tuple[str, int]:
    try:
        why = forms.maybe_words(request.form, "called_off_why", "The reason")
        call_off(store(), job, why, rights.acting(), now())
    except BadInput as wrong:
        return _page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/end", 303)
