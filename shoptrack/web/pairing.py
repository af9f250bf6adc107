"""A code that a tablet brings to a key that it keeps: how a device gets in the first time."""

import hashlib
import hmac

from flask import Blueprint, current_app, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotAllowed, ShopError
from shoptrack.store import devices
from shoptrack.store.tables import DeviceRow
from shoptrack.web import forms
from shoptrack.web.clock import now
from shoptrack.web.here import store
from shoptrack.web.paired import device_here, give_key

bp = Blueprint("pairing", __name__)


@bp.get("/pair")
def ask_code() -> str:
    return render_template("devices/pair.html", paired=device_here(), fields={}, wrong=None)


@bp.post("/pair")
def take_code() -> Answer | tuple[str, int]:
    """Pair this device; the same form sent twice pairs it once."""
    try:
        code = read_code(forms.words(request.form, "code", "The code"))
        key = key_for(code, request.form.get("id", ""))
        device = pair(code, key)
    except (BadInput, NotAllowed) as wrong:
        return shown_again(wrong)
    answer = redirect("/" if device.kind == "wall" else "/bench" if device.kind == "bench" else "/shop", 303)
    give_key(answer, key)
    return answer


def pair(code: str, key: str) -> DeviceRow:
    """Pair this device; what it was until now is sent away."""
    old = device_here()
    with store().writing() as session:
        device = devices.pair(session, code, key, request.host_url.rstrip("/"), now())
        if old is not None and old.id != device.id:
            devices.revoke(session, old.id, None, now())
    return device


def shown_again(wrong: ShopError) -> tuple[str, int]:
    """The form with what was typed, and what is wrong with it."""
    said = BadInput(str(wrong), "code")
    page = render_template("devices/pair.html", paired=None, fields=request.form, wrong=said)
    return page, 403 if isinstance(wrong, NotAllowed) else 400


def read_code(text: str) -> str:
    """A code as it was made, however it was typed: small letters, spaces and strokes don't matter."""
    return (
        "".join(c for c in text.upper() if c.isalnum()).replace("0", "O").replace("1", "I").replace("8", "B")
    )


def key_for(code: str, form: str) -> str:
    """A key that nobody can guess who does not have this server's own: the same for the same form."""
    secret = str(current_app.config["SECRET_KEY"]).encode()
    return hmac.new(secret, f"device|{code}|{form}".encode(), hashlib.sha256).hexdigest()
