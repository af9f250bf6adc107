"""The jobs: all of them as story sticks, one on its own page, and a new one."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.awaited import awaited_lines
from shoptrack.flows.entry_fields import CAUSES, REASONS
from shoptrack.flows.forecast import forecasts, job_forecast
from shoptrack.flows.job_facts import job_facts
from shoptrack.flows.jobs import JobLine, add, job_view, open_lines
from shoptrack.flows.planning.outlook import outlooks_by_job
from shoptrack.flows.shopfloor import gather, gather_job
from shoptrack.store.jobs import closed_jobs
from shoptrack.store.log import list_set_aside
from shoptrack.store.names import stage_names
from shoptrack.store.photos import photos_of_job
from shoptrack.store.quotes import quote_number_of_job
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forecast_sheet import sheet_of, to_come
from shoptrack.web.here import store, wall
from shoptrack.web.job_sheet import stick_of
from shoptrack.web.new_job import LAST_PATTERN, read_new_job, shown_pattern

bp = Blueprint("jobs", __name__)
CLOSED_SHOWN = 25
LISTS = ("open", "put aside", "closed", "called off")


@bp.get("/jobs")
def list_jobs() -> str:
    shown = request.args.get("show", "open")
    if shown in ("open", "put aside"):
        return _in_progress(shown)
    forms.choice(request.args, "show", "The list", LISTS)
    page = forms.whole(request.args, "page", "The page") if "page" in request.args else 1
    with store().reading() as session:
        closed = closed_jobs(session, CLOSED_SHOWN + 1, (page - 1) * CLOSED_SHOWN, shown == "called off")
    return render_template(
        "jobs/ended.html", lists=LISTS, shown=shown, jobs=closed[:CLOSED_SHOWN],
        page=page, more=len(closed) > CLOSED_SHOWN,
    )  # fmt: skip


def _in_progress(shown: str) -> str:
    sight = gather(store(), now())
    lines = [line for line in open_lines(sight) if shown == "open" or _is_aside(line)]
    left = {job: to_come(told) for job, told in forecasts(store(), sight, now()).items()}
    sticks = [stick_of(line) for line in lines]
    return render_template(
        "jobs/list.html", lists=LISTS, shown=shown, sticks=sticks, to_come=left,
        outlooks=outlooks_by_job(store(), sight),
    )  # fmt: skip


def _is_aside(line: JobLine) -> bool:
    return any(step.state == "put aside" for step in line.steps)


@bp.get("/jobs/<int(max=2147483647):job>")
def show_job(job: int) -> str:
    sight = gather_job(store(), job, now())
    view, told = job_view(sight, job), job_forecast(store(), sight, job, now())
    with store().reading() as session:
        facts, photos = job_facts(session, job), photos_of_job(session, job)
        stages = stage_names(session, job)
        awaited = awaited_lines(session, job, wall().local(now()).date())
        quote = quote_number_of_job(session, job) if rights.may_see_money() else None
    return render_template(
        "jobs/job.html", view=view, stick=stick_of(view.line), causes=CAUSES, reasons=REASONS,
        facts=facts, photos=photos, stage_names=dict(stages), quote=quote, fields={}, wrong=None,
        awaited=awaited, outlook=outlooks_by_job(store(), sight).get(job),
        hours=sheet_of(told) if told else None,
    )  # fmt: skip


@bp.get("/jobs/new")
def ask_new_job() -> Answer | str:
    if (elsewhere := rights.needs_office()) is not None:
        return elsewhere
    chosen = request.args.get("pattern", request.cookies.get(LAST_PATTERN, ""))
    return render_template("jobs/new.html", **shown_pattern(store(), chosen), fields={}, wrong=None)


@bp.post("/jobs/new")
def make_job() -> Answer | tuple[str, int]:
    rights.needs_office()
    try:
        asked = read_new_job(request.form, wall().currency)
        job = add(store(), asked, now(), rights.acting())
    except BadInput as wrong:
        shown = shown_pattern(store(), request.form.get("pattern", ""))
        return render_template("jobs/new.html", **shown, fields=request.form, wrong=wrong), 400
    answer = redirect(f"/jobs/{job}", 303)
    answer.set_cookie(LAST_PATTERN, str(asked.pattern), httponly=True, samesite="Lax")
    return answer


@bp.get("/set-aside")
def show_set_aside() -> str:
    with store().reading() as session:
        rows = list_set_aside(session)
    return render_template("jobs/set_aside.html", rows=rows)
