"""Who is at the device, and what kind of device it is, to what its pages may show and change."""

from typing import cast
from urllib.parse import urlencode

from flask import Flask, g, redirect, request, session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import NotAllowed
from shoptrack.flows import office_door
from shoptrack.web.clock import now
from shoptrack.web.here import config, store

PERSON, SINCE, DOOR, DEVICE = "person", "since", "door", "device"
VISIT_S = 12 * 3600
AT_THE_DOOR = frozenset({"office.ask_who", "office.enter", "office.leave"})
RANKS = {"anyone": 0, "wall": 1, "bench": 2, "office": 3}

# The least kind of device that may open a page: by its endpoint, else by its blueprint, else "office".
# Anyone: what a device needs before it is paired, and the calendar, whose address is its own key.
LEAST = {
    "static": "anyone",
    "pairing": "anyone",
    "calendar.feed": "anyone",
    "calendar.own_feed": "anyone",
    "devices.show_trust": "anyone",
    "devices.give_own": "anyone",
    "floor": "wall",
    "sheets.show_curing": "wall",
    "api": "bench",
    "bench": "bench",
    "job_stages": "bench",
    "jobs": "bench",
    "jobs.ask_new_job": "office",
    "jobs.make_job": "office",
    "last_time": "bench",
    "photos": "bench",
    "plan": "bench",
    "plan_if": "bench",
    "programs": "bench",
    "search": "bench",
    "sheets": "bench",
    "corrections": "bench",
    "say": "bench",
    "times": "bench",
    "tools": "bench",
    "weeks": "bench",
    "awaited": "office",
    "backups": "office",
    "calendar": "office",
    "customers": "office",
    "devices": "office",
    "files": "office",
    "job_change": "office",
    "job_end": "office",
    "job_money": "office",
    "months": "office",
    "office": "office",
    "pattern_edit": "office",
    "patterns": "office",
    "quote_date": "office",
    "quote_form": "office",
    "quotes": "office",
    "quoted": "office",
    "shop": "office",
    "start": "office",
}


def least_kind(endpoint: str) -> str:
    """The least kind of device that may open a page."""
    return LEAST.get(endpoint) or LEAST.get(endpoint.partition(".")[0], "office")


def device_kind() -> str:
    """What this device is: as it was paired; anyone's while nobody looked, where others than us can come."""
    return str(g.get("device_kind", "anyone" if config().lan else "office"))


def see_device(kind: str, device: int) -> None:
    """Keep for this request what the device is. Raises NotAllowed where the page is not for its kind."""
    g.device_kind, g.device = kind, device
    least = least_kind(request.endpoint) if request.endpoint else "wall"
    if RANKS[kind] < RANKS[least]:
        raise NotAllowed(_not_for(kind, least))


def _not_for(kind: str, least: str) -> str:
    if kind == "wall":
        return "This screen was paired to show the Floor: it writes nothing and opens no other page."
    return f"This page is for the {least}; this tablet was paired for the {kind}."


def acting() -> int | None:
    """The person who said, on this device and in the last twelve hours, that the office pages are theirs."""
    found, since = session.get(PERSON), session.get(SINCE)
    if not isinstance(found, int) or not isinstance(since, int) or session.get(DEVICE) != g.get("device", 0):
        return None
    return found if abs(now().timestamp() - since) < VISIT_S else None


def acting_name() -> str:
    """The name of that person; nothing where nobody said it."""
    person = acting()
    return _door().names.get(person, "") if person else ""


def come_in(person: int, stamp: str) -> None:
    """Begin a visit to the office: ``stamp`` is what it rests on, see ``flows.office_door.stamp``."""
    session[PERSON], session[DOOR], session[DEVICE] = person, stamp, g.get("device", 0)
    session[SINCE] = int(now().timestamp())


def leave() -> None:
    """End the visit."""
    for each in (PERSON, SINCE, DOOR, DEVICE):
        session.pop(each, None)


def may_see_money() -> bool:
    """Whether prices and costs may be shown here: in the office, past its door where that has a lock."""
    return device_kind() == "office" and (not _door().locked or is_inside())


def is_inside() -> bool:
    """Whether the person of this visit may be in the office still."""
    return acting() in _door().stamps and session.get(DOOR, "") == _door().stamps[cast(int, acting())]


def needs_office() -> Answer | None:
    """Hung before pages of the office: only on an office device, once somebody said who they are."""
    if device_kind() != "office":
        raise NotAllowed(_not_for(device_kind(), "office"))
    door = _door()
    if is_inside() or not door.people:
        return None
    if len(door.people) == 1 and not door.locked:
        come_in(door.people[0], "")
        return None
    if request.method == "GET":
        return redirect("/office?" + urlencode({"back": request.full_path.rstrip("?")}), 303)
    raise NotAllowed("Say who you are first, at /office; go back then, what you typed is still there.")


def lock_office() -> Answer | None:
    """Behind a PIN no page of the office opens before its door, not even one that does not ask by itself."""
    endpoint = request.endpoint
    if endpoint is None or endpoint in AT_THE_DOOR or least_kind(endpoint) != "office":
        return None
    return needs_office() if _door().locked else None


def hang(app: Flask) -> None:
    """Lock the office, and tell the templates who is in it, what device it is and whether money is shown."""
    app.before_request(lock_office)
    app.jinja_env.globals.update(
        may_see_money=may_see_money, acting=acting, acting_name=acting_name, device_kind=device_kind
    )


def _door() -> office_door.Door:
    """The door as it is, read once a request."""
    if "door" not in g:
        with store().reading() as reading:
            g.door = office_door.door(reading)
    return cast(office_door.Door, g.door)
