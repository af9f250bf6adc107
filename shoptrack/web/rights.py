"""Who is at the device, and what kind of device it is, to what its pages may show and change."""

from urllib.parse import urlencode

from flask import Flask, g, redirect, request, session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import NotAllowed
from shoptrack.store.shop import list_people
from shoptrack.web.here import store

PERSON = "person"


def device_kind() -> str:
    """What this device is: an office one unless it was paired as something less."""
    return str(g.get("device_kind", "office"))


def acting() -> int | None:
    """The person who said, on this device, that the office pages are theirs to use."""
    found = session.get(PERSON)
    return found if isinstance(found, int) else None


def may_see_money() -> bool:
    """Whether prices and costs may be shown here."""
    return device_kind() == "office"


def needs_office() -> Answer | None:
    """Hung before pages of the office: only on an office device, once somebody said who they are."""
    if device_kind() != "office":
        raise NotAllowed("This page is for the office; this tablet was paired for the bench.")
    with store().reading() as reading:
        people = [p.id for p in list_people(reading)]
    if not people or acting() in people:
        return None
    if len(people) == 1:
        session[PERSON] = people[0]
        return None
    if request.method == "GET":
        return redirect("/office?" + urlencode({"back": request.full_path.rstrip("?")}), 303)
    raise NotAllowed("Say who you are first, at /office; go back then, what you typed is still there.")


def hang(app: Flask) -> None:
    """Give the templates ``may_see_money`` and ``acting``."""
    app.jinja_env.globals.update(may_see_money=may_see_money, acting=acting)
