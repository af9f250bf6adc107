"""Wrong taps: a person's last days as lines to strike, move or give to another, and a job's book likewise."""

from datetime import date

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, Refused
from shoptrack.flows.corrections import Wrong, correct, taps_view
from shoptrack.web import forms
from shoptrack.web.clock import now
from shoptrack.web.here import store

bp = Blueprint("corrections", __name__)


@bp.get("/bench/<int(max=2147483647):person>/taps")
def show_taps(person: int) -> str:
    return _taps(person, forms.maybe_day(request.args, "on", "The day"), None)


@bp.post("/bench/<int(max=2147483647):person>/taps")
def correct_tap(person: int) -> Answer | tuple[str, int]:
    last_on = forms.maybe_day(request.form, "last_on", "The day")
    try:
        correct(store(), _wrong(person), now())
    except (BadInput, Refused) as wrong:
        return _taps(person, last_on, wrong), 400
    return redirect(f"/bench/{person}/taps" + (f"?on={last_on}" if last_on else ""), 303)


@bp.post("/jobs/<int(max=2147483647):job>/log")
def correct_book(job: int) -> Answer:
    """The same from a job's own page, by whoever says it is them."""
    correct(store(), _wrong(forms.maybe_id(request.form, "person", "The person")), now())
    return redirect(f"/jobs/{job}#log", 303)


def _wrong(by: int | None) -> Wrong:
    what, _, to = request.form.get("do", "").partition("-")
    whose = to or (request.form.get("was", "") if what == "was" else "")
    if not request.form.get("of"):
        raise BadInput("Choose the line that is wrong first.", "of")
    return Wrong(
        of=request.form["of"],
        what=what,
        by=by,
        id=request.form.get("id", ""),
        clock=forms.maybe_clock(request.form, "clock", "The time"),
        on=forms.maybe_day(request.form, "on", "The day"),
        to=forms.whole({"was": whose}, "was", "The person", most=2**31 - 1) if whose else None,
    )


def _taps(person: int, last_on: date | None, wrong: BadInput | Refused | None) -> str:
    view = taps_view(store(), person, last_on, now())
    said = wrong if isinstance(wrong, BadInput) or wrong is None else BadInput(str(wrong))
    return render_template("corrections/taps.html", view=view, fields=request.form, wrong=said)
