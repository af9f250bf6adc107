"""What was done is kept for next time: one tap after a stage is finished, on the Bench or a job's page."""

from collections.abc import Iterable, Mapping

from flask import Blueprint, redirect, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.jobs import Step
from shoptrack.flows.last_times import LONGEST, keep_for_next_time, of
from shoptrack.store.last_times import Remembered
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.here import store

bp = Blueprint("last_time", __name__)


@bp.post("/last-time")
def keep() -> Answer:
    """Keep the stages that were sent, with what went wrong if anything was written."""
    words = forms.maybe_words(request.form, "text", "What went wrong", LONGEST)
    person = forms.maybe_id(request.form, "person", "The person") or rights.acting()
    stages = [forms.whole({"stage": s}, "stage", "The stage", most=2**31) for s in _sent()]
    for stage in stages:
        keep_for_next_time(store(), stage, words, person, now())
    return redirect(forms.local_path(request.form, "back"), 303)


@bp.app_template_global("last_times")
def last_times(steps: Iterable[Step]) -> Mapping[int, Remembered]:
    """What is known of the stages of a job's page from the last time, by id, for its template."""
    return of(store(), [step.stage.id for step in steps])


def _sent() -> list[str]:
    found = list(dict.fromkeys(request.form.getlist("stage")))
    if not 0 < len(found) <= 20:
        raise BadInput("Say which stage this is about.", "stage")
    return found
