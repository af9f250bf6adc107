"""The edges of a tool on its Shop page → one added, another name, retired and brought back."""

from flask import redirect, request
from sqlalchemy import select
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.shopfloor import gather
from shoptrack.store.edge_kinds import add_edge, edges_of
from shoptrack.store.tables import EdgeRow, ToolRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.shop.door import bp, editor
from shoptrack.web.shop.thing import DOUBLE_TAP, change_row, set_retired
from shoptrack.web.shop.things import thing_page
from shoptrack.web.shop.tools import TOOLS, fit

BIG = "int(max=2147483647)"


@bp.post(f"/shop/tools/<{BIG}:tool>/edges")
def add_to_tool(tool: int) -> Answer | tuple[str, int]:
    """Add an edge, on its tool at once where that is ticked; the same form sent twice adds it once."""
    try:
        with store().writing() as session:
            row = _added(session, tool, request.form)
        if request.form.get("fitted"):
            fit(store(), row, editor())
    except BadInput as wrong:
        return thing_page(TOOLS, tool, request.form, wrong), 400
    return redirect(f"/shop/tools/{tool}#edges", 303)


@bp.post(f"/shop/edges/<{BIG}:edge>")
def name_edge(edge: int) -> Answer | tuple[str, int]:
    """Give an edge another name."""
    try:
        with store().writing() as session:
            row = _edge(session, edge)
            tool = row.tool_id
            change_row(session, editor(), row, name=_name(session, tool, row, request.form, f"edge-{edge}"))
    except BadInput as wrong:
        return thing_page(TOOLS, tool, request.form, wrong), 400
    return redirect(f"/shop/tools/{tool}#edges", 303)


@bp.post(f"/shop/edges/<{BIG}:edge>/retired")
def retire_edge(edge: int) -> Answer | tuple[str, int]:
    """Retire an edge that should not be in the list, or bring it back; what it did stays in the log."""
    retired = request.form.get("retired") == "yes"
    try:
        with store().writing() as session:
            row = _edge(session, edge)
            tool = row.tool_id
            if retired:
                _refuse_on_its_tool(row)
            set_retired(session, row, retired, editor())
    except BadInput as wrong:
        return thing_page(TOOLS, tool, {}, wrong), 400
    return redirect(f"/shop/tools/{tool}#edges", 303)


def _edge(session: Session, edge: int) -> EdgeRow:
    row = session.get(EdgeRow, edge)
    if row is None:
        raise NotFound("There is no such edge.")
    return row


def _refuse_on_its_tool(row: EdgeRow) -> None:
    stands = gather(store(), editor().now).edges.get(row.tool_id)
    if stands is not None and stands.fitted is not None and stands.fitted.edge.id == row.id:
        raise BadInput(f"{row.name} is on the tool: take it off first.", f"edge-{row.id}")


def _added(session: Session, tool: int, fields: Fields) -> EdgeRow:
    by = editor()
    if session.get(ToolRow, tool) is None:
        raise NotFound("There is no such tool.")
    name = forms.words(fields, "edge", "The name of the edge")
    own = select(EdgeRow).where(EdgeRow.tool_id == tool, EdgeRow.name == name)
    twice = session.scalar(own.where(EdgeRow.added_at >= by.now - DOUBLE_TAP, EdgeRow.retired_at.is_(None)))
    return twice or add_edge(session, tool, _name(session, tool, None, fields, "edge"), by.who, by.now)


def _name(session: Session, tool: int, row: EdgeRow | None, fields: Fields, field: str) -> str:
    """The name that was written. Raises BadInput where another edge of the tool has it."""
    name = forms.words(fields, field, "The name of the edge")
    for other in edges_of(session, tool):
        if other is not row and other.name.casefold() == name.casefold():
            where = "that is retired; bring it back" if other.retired_at else "already"
            raise BadInput(f"This tool has a “{other.name}” {where}.", field)
    return name
