"""A pattern is written down and changed: a draft in the form, one stage open, saved as a revision."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.patterns import (
    Impossible,
    Overtaken,
    PatternView,
    make,
    pattern_view,
    revise,
    what_there_is,
)
from shoptrack.store.pattern_things import JOINTS, Things
from shoptrack.web import rights
from shoptrack.web.clock import now
from shoptrack.web.here import store, wall
from shoptrack.web.pattern_desk import (
    Desk,
    Wrongs,
    beside,
    lay_out,
    meanwhile_of,
    offered,
    read_stages,
    written,
)
from shoptrack.web.pattern_draft import Draft, draft_of, read_draft, turned
from shoptrack.web.pattern_fields import rows
from shoptrack.web.pattern_merge import merged
from shoptrack.web.pattern_words import HANDS, STOPS

bp = Blueprint("pattern_edit", __name__)
bp.before_request(rights.needs_office)

Page = tuple[str, int]


@bp.get("/patterns/new")
def begin() -> Page:
    empty = turned(Draft("", "", 0, ()), "first")
    return _page(lay_out(empty, what_there_is(store(), now()), wall()), None)


@bp.post("/patterns/new")
def write_new() -> Answer | Page:
    things, draft = what_there_is(store(), now()), read_draft(request.form)
    button = request.form.get("do", "")
    return _save(draft, None, things) if button == "save" else _turn(draft, button, None, things)


@bp.get("/patterns/<int:pattern>/revise")
def take_up(pattern: int) -> Page:
    view = pattern_view(store(), pattern, None, now())
    draft = draft_of(view.name, view.newest, view.stages, view.things, wall(), request.args.get("open", ""))
    return _page(lay_out(draft, view.things, wall()), view)


@bp.post("/patterns/<int:pattern>/revise")
def write_on(pattern: int) -> Answer | Page:
    draft, button = read_draft(request.form), request.form.get("do", "")
    view = pattern_view(store(), pattern, draft.base or None, now())
    if button == "merge":
        draft = _merged(draft, view, request.form.get("began_at", ""))
    return _save(draft, view, view.things) if button == "save" else _turn(draft, button, view, view.things)


def _turn(draft: Draft, button: str, view: PatternView | None, things: Things) -> Page:
    try:
        draft = turned(draft, button)
    except BadInput as problem:
        return _page(lay_out(draft, things, wall(), {"": (problem,)}), view, 400)
    return _page(lay_out(draft, things, wall()), view)


def _save(draft: Draft, view: PatternView | None, things: Things) -> Answer | Page:
    stages, wrong = read_stages(draft, view.stages if view else (), things, wall())
    if wrong:
        return _page(lay_out(draft, things, wall(), wrong), view, 400)
    try:
        asked, who = written(draft, stages), rights.acting()
        if view is None:
            return redirect(f"/patterns/{make(store(), asked, who, now())}", 303)
        revise(store(), view.id, asked, who, now())
        return redirect(f"/patterns/{view.id}", 303)
    except Overtaken as found:
        assert view is not None  # a new pattern can't be overtaken
        return _overtaken(draft, view, pattern_view(store(), view.id, found.newest, now()))
    except Impossible as found:
        return _page(lay_out(draft, things, wall(), beside(found.problems, draft)), view, 400)
    except BadInput as problem:
        return _page(lay_out(draft, things, wall(), _whole(problem)), view, 400)


def _whole(problem: BadInput) -> Wrongs:
    field = "pattern_name" if problem.field == "name" else problem.field
    return {"": (BadInput(str(problem), field),)}


def _overtaken(draft: Draft, base: PatternView, newest: PatternView) -> Page:
    """Both are kept: what was typed stays in the form, which now begins from what the other saved."""
    stages, _ = read_stages(draft, base.stages, base.things, wall())
    told = meanwhile_of(base, newest, stages, wall())
    onward = Draft(draft.name, draft.note, newest.newest, draft.stages, draft.open)
    return _page(lay_out(onward, newest.things, wall(), None, told), newest, 409)


def _merged(draft: Draft, newest: PatternView, began_at: str) -> Draft:
    """The draft with what the other changed taken over wherever nothing else was typed."""
    number = int(began_at) if began_at.isascii() and began_at.isdigit() and len(began_at) < 9 else 0
    base = pattern_view(store(), newest.id, number or None, now())
    drafts = [draft_of(v.name, v.shown.number, v.stages, v.things, wall()) for v in (base, newest)]
    return merged(draft, *drafts)


def _page(desk: Desk, view: PatternView | None, status: int = 200) -> Page:
    opened = desk.opened
    wrong = desk.wrong.get(opened.key, ()) if opened else ()
    shown = render_template(
        "patterns/revise.html",
        desk=desk,
        view=view,
        fields=opened.typed if opened else {},
        wrong=wrong[0] if wrong else None,
        also_wrong=wrong[1:],
        joints=[(joint, joint) for joint in JOINTS],
        offered=offered,
        rows=rows,
        hands=HANDS,
        stops=STOPS,
    )
    return shown, status
