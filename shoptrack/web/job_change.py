"""What is written down of a job, to be changed: its words and money, and the promised date with reasons."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.job_change import describe, promise
from shoptrack.flows.job_facts import job_facts
from shoptrack.store.customers import chosen_name, customer_row, names_to_choose
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.job_fields import read_described
from shoptrack.web.seen import seen

bp = Blueprint("job_change", __name__, url_prefix="/jobs/<int(max=2147483647):job>")
bp.before_request(rights.needs_office)


def _change_page(job: int, fields: Fields, wrong: BadInput | None = None) -> str:
    with store().reading() as session:
        facts, customers = job_facts(session, job), names_to_choose(session)
        customer = chosen_name(session, customer_row(session, facts.customer_id))
    shown = {"facts": facts, "customers": customers, "customer": customer}
    return render_template("jobs/change.html", **shown, fields=fields, wrong=wrong)


def _promise_page(job: int, fields: Fields, wrong: BadInput | None = None) -> str:
    with store().reading() as session:
        facts = job_facts(session, job)
    return render_template("jobs/promised.html", facts=facts, fields=fields, wrong=wrong)


@bp.get("/change")
def ask_change(job: int) -> str:
    return _change_page(job, {})


@bp.post("/change")
def change(job: int) -> Answer | tuple[str, int]:
    try:
        today = wall().local(now()).date()
        said = read_described(request.form, wall().currency)
        describe(store(), job, said, rights.acting(), now(), today, seen(request.form))
    except BadInput as wrong:
        return _change_page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}", 303)


@bp.get("/promised")
def ask_promise(job: int) -> str:
    return _promise_page(job, {})


@bp.post("/promised")
def move_promise(job: int) -> Answer | tuple[str, int]:
    try:
        on = forms.maybe_day(request.form, "promised_on", "The promised date")
        why = forms.maybe_words(request.form, "why", "The reason")
        promise(store(), job, on, why, rights.acting(), now(), seen(request.form))
    except BadInput as wrong:
        return _promise_page(job, request.form, wrong), 400
    return redirect(f"/jobs/{job}/promised", 303)
