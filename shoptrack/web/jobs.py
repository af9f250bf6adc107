"""The jobs: all of them as story sticks, one on its own page, and a new one."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows.entry_fields import CAUSES, REASONS
from shoptrack.flows.jobs import add, job_view, open_lines, set_closed
from shoptrack.flows.record import tap
from shoptrack.flows.shopfloor import gather, gather_job
from shoptrack.store.jobs import closed_jobs
from shoptrack.store.log import list_set_aside
from shoptrack.web import forms
from shoptrack.web.clock import now
from shoptrack.web.here import store, wall
from shoptrack.web.job_sheet import stick_of
from shoptrack.web.new_job import LAST_PATTERN, read_new_job, shown_pattern

bp = Blueprint("jobs", __name__)
CLOSED_SHOWN = 25


@bp.get("/jobs")
def list_jobs() -> str:
    page = forms.whole(request.args, "page", "The page") if "page" in request.args else 1
    sticks = tuple(stick_of(line) for line in open_lines(gather(store(), now())))
    with store().reading() as session:
        closed = closed_jobs(session, CLOSED_SHOWN + 1, (page - 1) * CLOSED_SHOWN)
    more = len(closed) > CLOSED_SHOWN
    return render_template(
        "jobs/list.html", sticks=sticks, closed=closed[:CLOSED_SHOWN], page=page, more=more
    )


@bp.get("/jobs/<int:job>")
def show_job(job: int) -> str:
    if job > 2**31:
        raise NotFound("There is no such job.")
    view = job_view(gather_job(store(), job, now()), job)
    return render_template(
        "jobs/job.html", view=view, stick=stick_of(view.line), causes=CAUSES, reasons=REASONS
    )


@bp.get("/jobs/new")
def ask_new_job() -> str:
    chosen = request.args.get("pattern", request.cookies.get(LAST_PATTERN, ""))
    return render_template("jobs/new.html", **shown_pattern(store(), chosen), fields={}, wrong=None)


@bp.post("/jobs/new")
def make_job() -> Answer | tuple[str, int]:
    try:
        asked = read_new_job(request.form, wall().currency)
        job = add(store(), asked, now())
    except BadInput as wrong:
        shown = shown_pattern(store(), request.form.get("pattern", ""))
        return render_template("jobs/new.html", **shown, fields=request.form, wrong=wrong), 400
    answer = redirect(f"/jobs/{job}", 303)
    answer.set_cookie(LAST_PATTERN, str(asked.pattern), httponly=True, samesite="Lax")
    return answer


@bp.post("/jobs/<int:job>/closed")
def close_or_reopen(job: int) -> Answer:
    who = forms.whole(request.form, "person", "The person") if request.form.get("person") else None
    set_closed(store(), job, request.form.get("closed") == "yes", who, now())
    return redirect(f"/jobs/{job}", 303)


@bp.post("/jobs/<int:job>/book")
def correct_book(job: int) -> Answer:
    """Strike a line of the log, or move it to the wall time that was given beside it."""
    strike, move = request.form.get("strike", ""), request.form.get("move", "")
    to_at = None if strike else forms.wall_time(request.form, f"to-{move}", wall())
    if to_at is not None and to_at > now():
        raise BadInput("A line can’t be moved to a time that is still to come.", "to")
    person = forms.whole(request.form, "person", "The person") if request.form.get("person") else None
    kind, form_id = "strike" if strike else "retime", request.form.get("id", "")
    answer = tap(store(), id=form_id, person=person, kind=kind, now=now(), of=strike or move, to_at=to_at)
    if answer.status == "set aside":
        raise Refused(f"This could not be taken: {answer.reason}")
    return redirect(f"/jobs/{job}#log", 303)


@bp.get("/set-aside")
def show_set_aside() -> str:
    with store().reading() as session:
        rows = list_set_aside(session)
    return render_template("jobs/set_aside.html", rows=rows)
