"""The door of the office pages: a name is tapped, and this device works in it until it is left."""

import secrets

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotAllowed, ShopError
from shoptrack.flows import office_door
from shoptrack.web import rights
from shoptrack.web.clock import now
from shoptrack.web.forms import local_path, whole
from shoptrack.web.here import store

bp = Blueprint("office", __name__)


@bp.get("/office")
def ask_who() -> str:
    return door_page("office/who.html", back=local_path(request.args, "back"))


@bp.post("/office")
def enter() -> Answer | str | tuple[str, int]:
    """Work in the name that was tapped, once its PIN was typed where there is one."""
    person, back = whole(request.form, "person", "The name", most=2**31), local_path(request.form, "back")
    seen = door()
    if person in seen.stamps and seen.locked and "pin" not in request.form:
        return door_page("office/pin_asked.html", person=person, back=back)
    try:
        stamp = office_door.enter(store(), person, request.form.get("pin", ""), now())
    except ShopError as wrong:
        page = "office/pin_asked.html" if seen.locked and person in seen.stamps else "office/who.html"
        return door_page(page, wrong, person=person, back=back), code_of(wrong)
    rights.come_in(person, stamp)
    return redirect(back, 303)


@bp.post("/office/leave")
def leave() -> Answer:
    """Work in nobody's name again."""
    rights.leave()
    return redirect("/", 303)


@bp.get("/office/pin")
def ask_pin() -> str | Answer:
    return rights.needs_office() or door_page("office/pin.html", who=rights.acting())


@bp.post("/office/pin")
def change_pin() -> str | Answer | tuple[str, int]:
    if refused := rights.needs_office():
        return refused
    try:
        set_or_remove(rights.acting() or 0)
    except ShopError as wrong:
        return door_page("office/pin.html", wrong, who=rights.acting()), code_of(wrong)
    return redirect("/office/pin", 303)


def set_or_remove(by: int) -> None:
    """Do what the form says, and go on in the office where it was one's own PIN."""
    person, proof = whole(request.form, "person", "The name", most=2**31), request.form.get("proof", "")
    if request.form.get("remove"):
        office_door.remove_pin(store(), by, proof, person, now())
    else:
        pin = request.form.get("pin", "").strip()
        if pin != request.form.get("again", "").strip():
            raise BadInput("The two are not the same.", "again")
        office_door.set_pin(store(), by, proof, person, pin, secrets.token_hex(16), now())
    if by == person and by in (seen := door()).stamps:
        rights.come_in(by, seen.stamps[by])


def door() -> office_door.Door:
    """The door as it is now."""
    with store().reading() as session:
        return office_door.door(session)


def door_page(page: str, wrong: ShopError | None = None, **shown: object) -> str:
    """A page about the door; what was typed comes back, but for PINs."""
    said = wrong if wrong is None or isinstance(wrong, BadInput) else BadInput(str(wrong))
    fields = {k: v for k, v in request.form.items() if k in ("person", "back")}
    inside = rights.acting() if rights.is_inside() else None
    return render_template(page, door=door(), wrong=said, fields=fields, inside=inside, **shown)


def code_of(wrong: ShopError) -> int:
    """403 for what has to wait or is another's to do, else 400."""
    return 403 if isinstance(wrong, NotAllowed) else 400
