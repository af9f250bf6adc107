"""The patterns: all of them with their order drawn, one with its revisions, two revisions side by side."""

from dataclasses import dataclass

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.keep_pattern import keep_job
from shoptrack.flows.pattern_changes import Told, differences
from shoptrack.flows.patterns import (
    PatternLine,
    PatternView,
    copy,
    pattern_lines,
    pattern_view,
    set_retired,
)
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.here import store, wall
from shoptrack.web.order_drawing import OrderSheet, order_of
from shoptrack.web.pattern_words import told

bp = Blueprint("patterns", __name__)
bp.before_request(rights.needs_office)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A pattern in the list with its drawing."""

    line: PatternLine
    order: OrderSheet | None


@bp.get("/patterns")
def show_all() -> str:
    lines, things = pattern_lines(store(), now())
    sheets = [Sheet(line, order_of(line.stages, things)) for line in lines]
    return render_template(
        "patterns/list.html",
        in_use=[s for s in sheets if s.line.retired_at is None],
        retired=[s.line for s in sheets if s.line.retired_at is not None],
    )


@bp.get("/patterns/<int:pattern>")
def show_one(pattern: int) -> str:
    number = forms.whole(request.args, "revision", "The revision") if "revision" in request.args else None
    return _sheet(pattern_view(store(), pattern, number, now()))


@bp.get("/patterns/<int:pattern>/compare")
def compare(pattern: int) -> str:
    newest = pattern_view(store(), pattern, None, now())
    before, after = (_asked(newest, name) for name in ("from", "to"))
    return render_template(
        "patterns/compare.html",
        view=newest,
        before=before.shown,
        after=after.shown,
        found=differences(_told(before), _told(after)),
        order_before=order_of(before.stages, before.things),
        order_after=order_of(after.stages, after.things),
    )


def _asked(newest: PatternView, name: str) -> PatternView:
    """The revision that the page asks for; else the newest, and the one before it to compare with."""
    usual = newest.newest if name == "to" else max(newest.newest - 1, 1)
    number = forms.whole(request.args, name, "The revision") if request.args.get(name) else usual
    return pattern_view(store(), newest.id, number, now())


def _told(view: PatternView) -> tuple[Told, ...]:
    return told(view.stages, view.things, wall())


def _sheet(view: PatternView, wrong: BadInput | None = None) -> str:
    return render_template(
        "patterns/pattern.html",
        view=view,
        stages=_told(view),
        drawn=order_of(view.stages, view.things),
        fields=request.form,
        wrong=wrong,
    )


@bp.post("/patterns/<int:pattern>/copy")
def copy_one(pattern: int) -> Answer | tuple[str, int]:
    try:
        name = forms.words(request.form, "name", "The name of the new pattern")
        made = copy(store(), pattern, name, rights.acting(), now())
    except BadInput as wrong:
        return _sheet(pattern_view(store(), pattern, None, now()), wrong), 400
    return redirect(f"/patterns/{made}", 303)


@bp.post("/patterns/<int:pattern>/retired")
def retire_or_bring_back(pattern: int) -> Answer:
    set_retired(store(), pattern, request.form.get("retired") == "yes", rights.acting(), now())
    return redirect(f"/patterns/{pattern}", 303)


@bp.post("/jobs/<int:job>/keep-pattern")
def keep(job: int) -> Answer | tuple[str, int]:
    try:
        name = forms.words(request.form, "name", "The name of the pattern")
        made = keep_job(store(), job, name, rights.acting(), now())
    except BadInput as wrong:
        page = render_template("patterns/keep.html", job_id=job, fields=request.form, wrong=wrong)
        return page, 400
    return redirect(f"/patterns/{made}", 303)
