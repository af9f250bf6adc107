"""The Tools: each edge with its run hours and when it is due, a tool's own page, a tap for each deed."""

from typing import Any

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.engine.units import decimals_of
from shoptrack.errors import BadInput, Refused
from shoptrack.flows.earlier import earlier
from shoptrack.flows.record import tap
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.said import WORDS, last_tap
from shoptrack.flows.tooling.shown import show_tool, show_tools
from shoptrack.flows.tooling.soon import CAUTION
from shoptrack.web import forms, tools_words
from shoptrack.web.bench_forms import read_when
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.rights import acting
from shoptrack.web.tools_forms import as_shown, back_to, read_deed
from shoptrack.web.tools_sheet import curve_sheet, hours_scale, lives_sheet, run_line

bp = Blueprint("tools", __name__, url_prefix="/tools")
for word in tools_words.FILTERS:
    bp.add_app_template_filter(word)

NOBODY = 0
LAW = "29 CFR 1910.213(s)"


@bp.get("")
def show() -> str:
    view = show_tools(store(), now())
    dues = [due for line in view.lines for due in (line.due, *line.others)]
    scale = hours_scale(dues)
    lines = {due.edge: run_line(scale, due) for due in dues}
    return _page("tools/tools.html", "/tools", view=view, scale=scale, lines=lines)


@bp.get("/<int(max=2147483647):tool>")
def show_one(tool: int) -> str:
    return _tool_page(tool, {}, None)


@bp.post("/tap")
def take_tap() -> Answer | tuple[str, int]:
    """One tap; what can't be read comes back on the tool's own page with all that was typed."""
    fields = request.form
    try:
        said = read_deed(fields, now(), wall().currency)
        answer = tap(store(), now=now(), **said)
    except BadInput as wrong:
        return _tool_page(
            forms.whole(fields, "tool", "The tool", most=2**31 - 1), fields, as_shown(wrong)
        ), 400
    if answer.status == "set aside":
        raise Refused(f"This tap was set aside, and is kept with the reason: {answer.reason}")
    return redirect(back_to(fields, answer.id if said["kind"] == "edge" else ""), 303)


def _tool_page(tool: int, fields: Fields, wrong: BadInput | None) -> str:
    page = show_tool(store(), now(), tool)
    own = [page.line.due, *page.line.others] if page.line is not None else []
    scale = hours_scale(own)
    return _page(
        "tools/tool.html",
        f"/tools/{tool}",
        page=page,
        scale=scale,
        lines={due.edge: run_line(scale, due) for due in own},
        curve=None if page.learned is None else curve_sheet(page.learned),
        lives=lives_sheet(page.lives, now(), wall()),
        edge_choices=[(each.edge.id, each.edge.name) for each in page.edges],
        deed_words=tuple(WORDS.items()),
        fields=fields,
        wrong=wrong,
    )


def _page(template: str, here: str, **shown: Any) -> str:
    """A page with who taps, from when a tap counts, and what was tapped last."""
    sight = gather(store(), now())
    people = [(p.id, p.name) for p in sight.world.people.values() if not p.retired]
    by = _by({id_ for id_, _ in people})
    return render_template(
        template,
        here=here,
        people=people,
        by=by,
        when=_when(),
        earlier=earlier(sight, by or NOBODY, now()),
        did=last_tap(sight, request.args.get("did", "")),
        caution=CAUTION,
        law=LAW,
        decimals=decimals_of(wall().currency),
        **shown,
    )


def _by(people: set[int]) -> int | None:
    """Who taps: whoever was chosen here, else who is in the office."""
    said = request.args.get("by", "") or request.form.get("person", "")
    chosen = int(said) if said.isascii() and said.isdigit() and len(said) < 10 else None
    return next((who for who in (chosen, acting()) if who in people), None)


def _when() -> str:
    """From when the next tap counts: as it was chosen here; now, where that can't be read."""
    said = request.args.get("when", "")
    try:
        read_when(said, now())
    except BadInput:
        return ""
    return said
