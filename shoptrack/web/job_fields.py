"""The forms of a job's page to what they say: its words, an extra, a cost."""

from datetime import date

from shoptrack.errors import BadInput
from shoptrack.flows.job_change import Described
from shoptrack.store.costs import COST_KINDS, Spent
from shoptrack.web import forms
from shoptrack.web.forms import Fields


def read_described(fields: Fields, currency: str) -> Described:
    """A job's words as they were typed. Raises BadInput with the field that is wrong."""
    return Described(
        title=forms.words(fields, "title", "What it is"),
        customer=forms.words(fields, "customer", "The customer"),
        new_customer=bool(fields.get("new_customer")),
        pieces=forms.whole(fields, "pieces", "The number of pieces"),
        notes=forms.maybe_words(fields, "notes", "The note", forms.LONGEST_NOTE),
        must_keep=bool(fields.get("must_keep")),
        price_cents=forms.maybe_cents(fields, "price", currency),
        deposit_cents=forms.maybe_cents(fields, "deposit", currency) or None,
        deposit_on=forms.maybe_day(fields, "deposit_on", "The day of the deposit"),
        delivered_on=forms.maybe_day(fields, "delivered_on", "The day of delivery"),
    )


def day_said(fields: Fields, name: str, called: str, today: date) -> date:
    """A day that is over or goes on; today where none is written. Raises BadInput for one to come."""
    on = forms.maybe_day(fields, name, called) or today
    if on > today:
        raise BadInput("That day is still to come.", name)
    return on


def read_cost(fields: Fields, currency: str, today: date) -> Spent:
    """A cost as it was typed; without an amount it is the material's quantity at its price."""
    return Spent(
        kind=forms.choice(fields, "kind", "The kind of cost", COST_KINDS),
        words=forms.maybe_words(fields, "cost_words", "What it was"),
        spent_on=day_said(fields, "spent_on", "The day", today),
        material_id=forms.maybe_id(fields, "material", "The material"),
        quantity=forms.measure(fields, "quantity", "How much"),
        cents=forms.maybe_cents(fields, "cost", currency),
    )
