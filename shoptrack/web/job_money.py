"""The money of a job: extras and their answers, costs beside the hours, and what is left."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.job_facts import job_facts
from shoptrack.flows.job_money import reckon
from shoptrack.flows.shopfloor import gather_job
from shoptrack.store import costs, extras
from shoptrack.store.names import material_names, material_words
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.job_fields import day_said, read_cost

bp = Blueprint("job_money", __name__, url_prefix="/jobs/<int(max=2147483647):job>")
bp.before_request(rights.needs_office)


@bp.get("/money")
def show_money(job: int) -> str:
    return _page(job, {})


def _page(job: int, fields: Fields, wrong: BadInput | None = None) -> str:
    sight = gather_job(store(), job, now())
    with store().reading() as session:
        return render_template(
            "jobs/money.html", facts=job_facts(session, job), sums=reckon(session, sight, job),
            extras=extras.extras_of(session, job), costs=costs.costs_of(session, job),
            after=costs.newest_cost(session, job), kinds=[(k, k) for k in costs.COST_KINDS],
            materials=material_words(session), names=material_names(session),
            today=wall().local(now()).date(), fields=fields, wrong=wrong,
        )  # fmt: skip


@bp.post("/extras")
def add_extra(job: int) -> Answer | tuple[str, int]:
    try:
        words = forms.words(request.form, "extra_words", "What was asked for")
        cents = forms.maybe_cents(request.form, "extra", wall().currency) or 0
        asked_on = day_said(request.form, "asked_on", "The day", wall().local(now()).date())
        number = forms.whole(request.form, "number", "Its number", most=100_000)
        with store().writing() as session:
            job_facts(session, job)
            extras.add_extra(
                session, job, number=number, words=words, cents=cents, asked_on=asked_on,
                who=rights.acting(), now=now(),
            )  # fmt: skip
    except BadInput as wrong:
        return _page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/money#extras", 303)


@bp.post("/extras/<int(max=100000):number>")
def answer_extra(job: int, number: int) -> Answer | tuple[str, int]:
    try:
        said = forms.choice(request.form, "answer", "The answer", ("yes", "no", "none yet"))
        on = day_said(request.form, f"answered_on-{number}", "The day", wall().local(now()).date())
        how = forms.maybe_words(request.form, "how", "How")
        with store().writing() as session:
            if said == "yes":
                extras.approve(session, job, number, on, how, rights.acting(), now())
            elif said == "no":
                extras.turn_down(session, job, number, on, rights.acting(), now())
            else:
                extras.take_answer_back(session, job, number, rights.acting(), now())
    except BadInput as wrong:
        return _page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/money#extras", 303)


@bp.post("/costs")
def add_cost(job: int) -> Answer | tuple[str, int]:
    try:
        spent = read_cost(request.form, wall().currency, wall().local(now()).date())
        after = forms.whole(request.form, "after", "The form", 0, 2**31)
        with store().writing() as session:
            job_facts(session, job)
            costs.add_cost(session, job, spent, after=after, who=rights.acting(), now=now())
    except BadInput as wrong:
        return _page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/money#costs", 303)


@bp.post("/costs/<int(max=2147483647):cost>/back")
def take_cost_back(job: int, cost: int) -> Answer:
    with store().writing() as session:
        costs.take_back(session, job, cost, rights.acting(), now())
    return redirect(f"/jobs/{job}/money#costs", 303)
