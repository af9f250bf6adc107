"""The customers: all of them, one with their jobs, added, changed, retired."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.store import customers
from shoptrack.store.customers import Called
from shoptrack.store.histories import lines_about
from shoptrack.store.months import deposits_owed
from shoptrack.store.overtaken import not_overtaken
from shoptrack.store.quotes import quotes_of_customer
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.seen import seen

bp = Blueprint("customers", __name__, url_prefix="/customers")
bp.before_request(rights.needs_office)


def _list(fields: Fields, wrong: BadInput | None = None) -> str:
    with store().reading() as session:
        return render_template(
            "customers/list.html", customers=customers.list_customers(session), owed=deposits_owed(session),
            after=customers.newest_customer(session), fields=fields, wrong=wrong,
        )  # fmt: skip


def _one(customer: int, fields: Fields, wrong: BadInput | None = None) -> str:
    with store().reading() as session:
        row = customers.customer_row(session, customer)
        return render_template(
            "customers/customer.html", customer=row, jobs=customers.jobs_of_customer(session, customer),
            quotes=quotes_of_customer(session, customer, wall().local(now()).date()),
            fields=fields, wrong=wrong,
        )  # fmt: skip


def _read(fields: Fields) -> Called:
    return Called(
        name=forms.words(fields, "name", "The name"),
        contact=forms.maybe_words(fields, "contact", "The person to ask for"),
        email=forms.maybe_words(fields, "email", "The email address"),
        phone=forms.maybe_words(fields, "phone", "The telephone number"),
        address=forms.maybe_words(fields, "address", "The address", forms.LONGEST_NOTE),
        notes=forms.maybe_words(fields, "notes", "The note", forms.LONGEST_NOTE),
    )


@bp.get("")
def list_customers() -> str:
    return _list({})


@bp.post("")
def add() -> Answer | tuple[str, int]:
    try:
        after = forms.whole(request.form, "after", "The form", 0, 2**31)
        with store().writing() as session:
            row = customers.add_customer(session, _read(request.form), rights.acting(), now(), after)
    except BadInput as wrong:
        return _list(request.form, wrong), 400
    return redirect(f"/customers/{row.id}", 303)


@bp.get("/<int(max=2147483647):customer>")
def show_customer(customer: int) -> str:
    return _one(customer, {})


@bp.post("/<int(max=2147483647):customer>")
def change(customer: int) -> Answer | tuple[str, int]:
    try:
        called = _read(request.form)
        with store().writing() as session:
            row = customers.customer_row(session, customer)
            with not_overtaken(session, lines_about(row), seen(request.form)):
                customers.change_customer(session, customer, called, rights.acting(), now())
    except BadInput as wrong:
        return _one(customer, request.form, wrong), 400
    return redirect(f"/customers/{customer}", 303)


@bp.post("/<int(max=2147483647):customer>/retired")
def retire(customer: int) -> Answer:
    back = request.form.get("retired") == "no"
    with store().writing() as session:
        customers.retire_customer(session, customer, back, rights.acting(), now())
    return redirect(f"/customers/{customer}", 303)
