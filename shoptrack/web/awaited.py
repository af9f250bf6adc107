"""What a job waits for from outside: written down, looked for on another day, come, struck out."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.awaited import awaited_lines
from shoptrack.flows.job_facts import job_facts
from shoptrack.store import awaited
from shoptrack.store.histories import lines_about
from shoptrack.store.names import stage_names
from shoptrack.store.overtaken import not_overtaken
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.job_fields import day_said
from shoptrack.web.seen import seen

bp = Blueprint("awaited", __name__, url_prefix="/jobs/<int(max=2147483647):job>/awaited")
bp.before_request(rights.needs_office)
ONE = "/<int(max=2147483647):one>"


@bp.get("")
def list_awaited(job: int) -> str:
    return _page(job, {})


def _page(job: int, fields: Fields, wrong: BadInput | None = None) -> str:
    today = wall().local(now()).date()
    with store().reading() as session:
        return render_template(
            "jobs/awaited.html", facts=job_facts(session, job), lines=awaited_lines(session, job, today),
            stages=stage_names(session, job), usual=awaited.USUAL,
            after=awaited.newest_awaited(session, job), today=today, fields=fields, wrong=wrong,
        )  # fmt: skip


@bp.post("")
def add(job: int) -> Answer | tuple[str, int]:
    """Write down one thing; the same form sent twice writes it once."""
    try:
        what = forms.words(request.form, "what", "What it waits for")
        stage = forms.maybe_id(request.form, "stage", "The stage")
        on = forms.maybe_day(request.form, "expected_on", "The day")
        after = forms.whole(request.form, "after", "The form", 0, 2**31)
        with store().writing() as session:
            awaited.add_awaited(
                session, job, what=what, stage=stage, expected_on=on, after=after,
                who=rights.acting(), now=now(),
            )  # fmt: skip
    except BadInput as wrong:
        return _page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/awaited", 303)


@bp.post(f"{ONE}/expected")
def expect(job: int, one: int) -> Answer | tuple[str, int]:
    """It is looked for on another day; nobody knows when, where none is written."""
    try:
        on = forms.maybe_day(request.form, f"expected_on-{one}", "The day")
        with store().writing() as session:
            about = lines_about(awaited.awaited_row(session, job, one))
            with not_overtaken(session, about, seen(request.form), ("expected_on",)):
                awaited.expect_on(session, job, one, on, rights.acting(), now())
    except BadInput as wrong:
        return _page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/awaited", 303)


@bp.post(f"{ONE}/came")
def came(job: int, one: int) -> Answer | tuple[str, int]:
    """It came, today or on a day before; or it has not after all."""
    try:
        said = forms.choice(request.form, "came", "Whether it came", ("yes", "no"))
        on = day_said(request.form, f"came_on-{one}", "The day", wall().local(now()).date())
        with store().writing() as session:
            awaited.say_came(session, job, one, on if said == "yes" else None, rights.acting(), now())
    except BadInput as wrong:
        return _page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/awaited", 303)


@bp.post(f"{ONE}/struck")
def strike(job: int, one: int) -> Answer:
    """It is not waited for after all; twice is the same as once."""
    with store().writing() as session:
        awaited.strike(session, job, one, rights.acting(), now())
    return redirect(f"/jobs/{job}/awaited", 303)
