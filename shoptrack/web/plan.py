"""The Plan: the coming weeks drawn a row a day, a stage's place in them with its pin, a week on paper."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.entry_fields import REASONS
from shoptrack.flows.planning.at_stage import pin, unpin
from shoptrack.flows.planning.shown import show_plan, show_stage, show_week
from shoptrack.web import forms, plan_words
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.plan_sheet import JOBS_SHOWN, TOLD_SHOWN, draw
from shoptrack.web.rights import acting

bp = Blueprint("plan", __name__, url_prefix="/plan")
for word in plan_words.FILTERS:
    bp.add_app_template_filter(word)


@bp.get("")
def show() -> str:
    view = show_plan(store(), now(), forms.maybe_day(request.args, "from", "The day"))
    return render_template(
        "plan/plan.html", sheet=draw(view, wall()), jobs_shown=JOBS_SHOWN, told_shown=TOLD_SHOWN
    )


@bp.get("/stages/<int(max=2147483647):stage>")
def show_one(stage: int) -> str:
    return _stage_page(stage, {}, None)


@bp.post("/stages/<int(max=2147483647):stage>/pin")
def set_pin(stage: int) -> Answer | tuple[str, int]:
    try:
        on = forms.maybe_day(request.form, "on", "The day")
        if on is None:
            raise BadInput("The day is missing.", "on")
        person = forms.maybe_id(request.form, "person", "The person")
        pin(store(), stage, on, person, wall().local(now()).date(), acting(), now())
    except BadInput as wrong:
        return _stage_page(stage, request.form, wrong), 400
    return redirect(f"/plan/stages/{stage}", 303)


@bp.post("/stages/<int(max=2147483647):stage>/unpin")
def let_go(stage: int) -> Answer:
    unpin(store(), stage, acting(), now())
    return redirect(f"/plan/stages/{stage}", 303)


@bp.get("/week/<int(max=2147483647):person>")
def show_paper(person: int) -> str:
    week = show_week(store(), now(), person, forms.maybe_day(request.args, "from", "The day"))
    return render_template("plan/week.html", week=week)


def _stage_page(stage: int, fields: Fields, wrong: BadInput | None) -> str:
    found = show_stage(store(), now(), stage)
    by = request.args.get("person", acting() or "")
    return render_template(
        "plan/stage.html", s=found, fields=fields, wrong=wrong, reasons=REASONS, by=str(by)
    )
