"""The door of the office pages: a name is tapped, and this device works in that name until it is left."""

from flask import Blueprint, redirect, render_template, request, session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.store.shop import list_people
from shoptrack.web.forms import local_path, whole
from shoptrack.web.here import store
from shoptrack.web.rights import PERSON

bp = Blueprint("office", __name__)


@bp.get("/office")
def ask_who() -> str:
    with store().reading() as reading:
        people = [(p.id, p.name) for p in list_people(reading)]
    return render_template("office/who.html", people=people, back=local_path(request.args, "back"))


@bp.post("/office")
def enter() -> Answer:
    """Work in the name that was tapped."""
    person = whole(request.form, "person", "The name", most=2**31)
    with store().reading() as reading:
        if person not in {p.id for p in list_people(reading)}:
            raise BadInput("Nobody of that name works here.", "person")
    session[PERSON] = person
    return redirect(local_path(request.form, "back"), 303)


@bp.post("/office/leave")
def leave() -> Answer:
    """Work in nobody's name again."""
    session.pop(PERSON, None)
    return redirect("/", 303)
