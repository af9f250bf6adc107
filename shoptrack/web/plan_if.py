"""What if: changes that travel in the address, what they would do to every date, and keeping them."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from urllib.parse import urlencode

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.planning.changes import Change, PinStage
from shoptrack.flows.planning.keep import can_keep, keep
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.shown import show_what_if
from shoptrack.flows.planning.what_if import refuse_unknown
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.store.db import Head
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.here import store, wall
from shoptrack.web.plan_changes import read, words, written
from shoptrack.web.plan_form import added, choices
from shoptrack.web.render import clock, day

bp = Blueprint("plan_if", __name__, url_prefix="/plan/what-if")


@dataclass(frozen=True, slots=True)
class Chosen:
    """A change that was chosen: as an address carries it, in words, the page without it, whether it lasts."""

    text: str
    words: str
    without: str
    keeps: bool


@bp.get("")
def show() -> str | Answer | tuple[str, int]:
    sight, said = gather(store(), now()), request.args.getlist("c")
    try:
        changes = said_changes(sight, said)
        more = added(request.args)
        if more is None:
            return page(sight, changes, None)
        refuse_unknown(sight, [*changes, more])
    except BadInput as wrong:
        return page(sight, known(sight, said), wrong), 400
    return redirect(address([*changes, more] if more not in changes else changes), 303)


@bp.post("/keep")
def keep_them() -> Answer | tuple[str, int]:
    sight, said = gather(store(), now()), request.form.getlist("c")
    try:
        changes = said_changes(sight, said)
        if not all(isinstance(change, PinStage) for change in changes) and (asked := rights.needs_office()):
            return asked
        keep(store(), changes, seen_head(), rights.acting(), wall().local(now()).date(), now())
    except BadInput as wrong:
        return page(sight, known(sight, said), wrong), 400
    return redirect("/plan", 303)


def page(sight: Sight, changes: Sequence[Change], wrong: BadInput | None) -> str:
    """The page with what was chosen, what it would do, and what else can be chosen."""
    planned = plan_now(store(), sight)
    return render_template(
        "plan/what_if.html",
        chosen=chosen(sight, changes),
        compared=show_what_if(store(), sight, changes) if changes and not wrong else None,
        choices=choices(sight, planned, request.args.get("pin_stage", type=int)),
        fields=request.args,
        wrong=wrong,
        head=sight.head,
        today=wall().local(now()).date(),
    )


def chosen(sight: Sight, changes: Sequence[Change]) -> tuple[Chosen, ...]:
    """What was chosen, in words."""
    at = wall()
    return tuple(
        Chosen(
            written(change),
            words(
                change,
                sight.world,
                lambda on: day(on, now(), at),
                lambda t: clock(datetime.combine(date.min, t, UTC), replace(at, zone="UTC")),
            ),
            address([other for other in changes if other is not change]),
            can_keep(change),
        )
        for change in changes
    )


def said_changes(sight: Sight, said: Sequence[str]) -> list[Change]:
    """The changes of an address, each once. Raises BadInput for one that can't be read or is not possible."""
    changes = list(dict.fromkeys(read(text) for text in said))
    try:
        refuse_unknown(sight, changes)
    except BadInput as wrong:
        # of no field that the page shows: it stands in the address
        raise BadInput(f"One of the changes can’t be, and was left out. {wrong}") from wrong
    return changes


def known(sight: Sight, said: Sequence[str]) -> list[Change]:
    """Of the changes of an address those that can be shown."""
    found: list[Change] = []
    for text in said:
        with suppress(BadInput):
            found = said_changes(sight, [*map(written, found), text])
    return found


def address(changes: Sequence[Change]) -> str:
    """Where the page with some changes is."""
    query = urlencode([("c", written(change)) for change in changes])
    return f"/plan/what-if?{query}" if query else "/plan/what-if"


def seen_head() -> Head:
    """For which state of the shop the form was shown."""
    database_id, _, revision = request.form.get("head", "").rpartition("-")
    return Head(database_id, forms.whole({"head": revision}, "head", "The form", least=0, most=10**12))
