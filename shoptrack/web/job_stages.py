"""The stages of a job: added, changed, put in another order, split, taken out and brought back."""

from typing import Any

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, Refused
from shoptrack.flows import job_stages as stages
from shoptrack.flows.stages_view import OneStage, one_stage, stages_view
from shoptrack.store.shop import list_people
from shoptrack.web import forms
from shoptrack.web.clock import now
from shoptrack.web.here import store, wall
from shoptrack.web.rights import acting
from shoptrack.web.stage_fields import JOINTS, read_stage, typed_of

bp = Blueprint("job_stages", __name__, url_prefix="/jobs/<int(max=2147483647):job>/stages")


@bp.get("")
def list_stages(job: int) -> str:
    view = stages_view(store(), job, now())
    return render_template("job_stages/list.html", view=view, fields={}, wrong=None, **_people())


@bp.post("")
def move_or_bring_back(job: int) -> Answer:
    """One button of the list: a stage up, down, or back into the job."""
    what, stage, was = _pressed(request.form.get("do", ""))
    if what == "back":
        stages.bring_back(store(), job, stage, _who(), now())
    else:
        stages.move(store(), job, stage, what == "up", was, _who(), now())
    return redirect(f"/jobs/{job}/stages#s{stage}", 303)


@bp.get("/new")
def ask_new(job: int) -> str:
    one = one_stage(store(), job, None, now())
    return _form(one, typed_of(one, wall()), None)


@bp.post("/new")
def make(job: int) -> Answer | tuple[str, int]:
    one = one_stage(store(), job, None, now())
    try:
        said = read_stage(request.form, one, wall())
        newest = forms.whole(request.form, "newest", "The newest stage", 0, 2**31)
        follow = bool(request.form.get("in_line"))
        stage = stages.add(store(), job, said, newest, follow, _who(), now())
    except (BadInput, Refused) as wrong:
        return _form(one, request.form, wrong), 400
    return redirect(f"/jobs/{job}/stages#s{stage}", 303)


@bp.get("/<int(max=2147483647):stage>")
def ask_change(job: int, stage: int) -> str:
    one = one_stage(store(), job, stage, now())
    return _form(one, typed_of(one, wall()), None)


@bp.post("/<int(max=2147483647):stage>")
def change(job: int, stage: int) -> Answer | tuple[str, int]:
    one = one_stage(store(), job, stage, now())
    try:
        said = read_stage(request.form, one, wall())
        stages.change(store(), job, stage, said, request.form.get("stamp", ""), _who(), now())
    except (BadInput, Refused) as wrong:
        return _form(one, {**request.form, "stamp": one.stamp}, wrong), 400
    return redirect(f"/jobs/{job}/stages#s{stage}", 303)


@bp.post("/<int(max=2147483647):stage>/split")
def split(job: int, stage: int) -> Answer | tuple[str, int]:
    one = one_stage(store(), job, stage, now())
    try:
        keeps = forms.measure(request.form, "keeps", "The first part")
        if keeps is None:
            raise BadInput("How much stays with the first part is missing.", "keeps")
        newest = forms.whole(request.form, "newest", "The newest stage", 0, 2**31)
        stages.split(store(), job, stage, keeps, newest, _who(), now())
    except (BadInput, Refused) as wrong:
        return _form(one, {**typed_of(one, wall()), **request.form}, wrong), 400
    return redirect(f"/jobs/{job}/stages#s{stage}", 303)


@bp.post("/<int(max=2147483647):stage>/out")
def take_out(job: int, stage: int) -> Answer | tuple[str, int]:
    one = one_stage(store(), job, stage, now())
    try:
        why = forms.maybe_words(request.form, "why", "The reason")
        stages.take_out(store(), job, stage, _who(), now(), why)
    except (BadInput, Refused) as wrong:
        return _form(one, {**typed_of(one, wall()), **request.form}, wrong), 400
    return redirect(f"/jobs/{job}/stages#out", 303)


def _pressed(text: str) -> tuple[str, int, int]:
    """A button's value, such as "up 14 3": what, which stage, and the place it was shown at."""
    what, _, rest = text.partition(" ")
    numbers = rest.split(" ")
    if what not in ("up", "down", "back") or len(numbers) != 2:
        raise BadInput("That button is not one of this page.")
    if not all(n.isascii() and n.isdigit() and len(n) < 10 for n in numbers):
        raise BadInput("That button is not one of this page.")
    return what, int(numbers[0]), int(numbers[1])


def _who() -> int | None:
    """Who said they change it, else who works in the office on this device."""
    said = forms.maybe_id(request.form, "who", "The name")
    known = [id for id, _ in _people()["people"]]
    return said if said in known else acting()


def _people() -> dict[str, Any]:
    with store().reading() as session:
        return {"people": [(p.id, p.name) for p in list_people(session)]}


def _form(one: OneStage, fields: Any, wrong: BadInput | Refused | None) -> str:
    wrong_at = wrong if isinstance(wrong, BadInput) else BadInput(str(wrong)) if wrong else None
    return render_template(
        "job_stages/stage.html",
        one=one,
        view=one.view,
        things=one.things,
        joints=JOINTS,
        fields=fields,
        wrong=wrong_at,
        **_people(),
    )
