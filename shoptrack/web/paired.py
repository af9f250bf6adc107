"""A cookie to the device that shows it: under --lan nothing but pairing is answered without one."""

from flask import Flask, Response, g, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.store import devices
from shoptrack.store.tables import DeviceRow
from shoptrack.web import reached, rights
from shoptrack.web.clock import now
from shoptrack.web.here import config, store
from shoptrack.web.problems import problem_document

YEAR_S = 400 * 24 * 3600  # longer than browsers keep any cookie (RFC 6265bis: 400 days)
STRANGER = "This device is not paired with the shop, or was sent away. The office pairs it: Shop, Tablets."
MOVED = "The shop has moved to a safer address: open the page that this tablet shows there."
STILL_THERE = frozenset({"static", "devices.show_trust", "devices.give_own", "api.post_entries"})
"""What is answered by plain http while the shop is served by https: enough to send what a tablet holds."""


def hang(app: Flask) -> None:
    """Give an app its doorkeeper."""
    app.before_request(check_device)
    app.after_request(keep_cookie)


def check_device() -> Response | None:
    """Let pass who sits at this machine or shows a device's key, as far as its kind goes; refuse the rest."""
    if not config().lan or reached.is_here():
        g.device_kind = "office"
        return None
    if config().https_port is not None and not request.is_secure and request.endpoint not in STILL_THERE:
        return turned_away(410, MOVED, "devices/moved.html")
    g.device_kind = "anyone"
    if request.endpoint is not None and rights.least_kind(request.endpoint) == "anyone":
        return None
    device = device_here()
    if device is None:
        return turned_away(403, STRANGER, "devices/stranger.html")
    rights.see_device(device.kind, device.id)
    note_seen(device)
    return None


def device_here() -> DeviceRow | None:
    """The device that the cookie is of. A key that once went by plain http is no good for https."""
    key = request.cookies.get(cookie_name(), "")
    if not key:
        return None
    with store().reading() as session:
        found = devices.find(session, key)
    is_safe = found is not None and found.paired_address.startswith("https:")
    return found if is_safe == request.is_secure else None


def cookie_name() -> str:
    """By https a name that tells browsers to give it to this host and by https alone (RFC 6265bis 4.1.3)."""
    return "__Host-device" if request.is_secure else "device"


def give_key(answer: Answer, key: str) -> None:
    """Have the device keep its key."""
    answer.set_cookie(
        cookie_name(), key, max_age=YEAR_S, httponly=True, samesite="Lax", secure=request.is_secure
    )


def note_seen(device: DeviceRow) -> None:
    """Note every few minutes that the device was here, and have it keep its key for longer."""
    if not devices.is_due(device, now()):
        return
    with store().noting() as session:
        devices.note_seen(session, device.id, now())
    g.key_again = request.cookies[cookie_name()]


def keep_cookie(answer: Response) -> Response:
    """Give the key again where that is due."""
    if "key_again" in g:
        give_key(answer, g.key_again)
    return answer


def turned_away(code: int, sentence: str, page: str) -> Response:
    """The answer for who is not let in: a page that needs nothing of the shop, or a problem document."""
    if request.path.startswith("/api/"):
        return problem_document(code, "Not from here", sentence)
    shown = {"addresses": reached.addresses(), "plain": reached.plain_addresses()}
    return Response(render_template(page, sentence=sentence, **shown), code)
