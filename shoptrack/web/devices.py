"""The tablets that may come in: a code for a new one, its name, and an end to it."""

import base64
import secrets
from pathlib import Path

from flask import Blueprint, Response, redirect, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotFound
from shoptrack.store import certificates, devices
from shoptrack.web import forms, reached, rights
from shoptrack.web.clock import now
from shoptrack.web.codes import code_svg
from shoptrack.web.here import config, store

bp = Blueprint("devices", __name__, url_prefix="/devices")
KINDS = (
    ("bench", "For the bench: Floor, Bench, jobs without money, photos and printed sheets."),
    ("office", "For the office: everything, prices and settings too."),
    ("wall", "For the wall: shows the Floor and what is curing, and writes nothing."),
)


@bp.get("")
def list_all() -> str | Answer:
    return rights.needs_office() or shown({}, None)


@bp.post("/pair")
def make_code() -> str | Answer | tuple[str, int]:
    """Show a code for a new tablet; it is kept nowhere but on this page."""
    if refused := rights.needs_office():
        return refused
    try:
        name = forms.words(request.form, "name", "The tablet’s name", 40)
        kind = forms.choice(request.form, "kind", "What it is for", [k for k, _ in KINDS])
        address = chosen_address()
    except BadInput as wrong:
        return shown(request.form, wrong), 400
    return code_page(name, kind, address)


@bp.post("/<int(max=2147483647):device>/name")
def rename(device: int) -> Answer | tuple[str, int] | str:
    if refused := rights.needs_office():
        return refused
    try:
        name = forms.words(request.form, "called", "The tablet’s name", 40)
    except BadInput as wrong:
        return shown(request.form, BadInput(str(wrong), f"called-{device}")), 400
    with store().writing() as session:
        devices.rename(session, device, name, rights.acting(), now())
    return redirect("/devices", 303)


@bp.post("/<int(max=2147483647):device>/away")
def send_away(device: int) -> Answer:
    if refused := rights.needs_office():
        return refused
    with store().writing() as session:
        devices.revoke(session, device, rights.acting(), now())
    return redirect("/devices", 303)


@bp.get("/trust")
def show_trust() -> str:
    """How a tablet comes to trust this shop's own certificate; asked by plain http, before it does."""
    own_certificate()
    return render_template("devices/trust.html", fingerprint=own_fingerprint(), addresses=reached.addresses())


@bp.get("/shop.crt")
def give_own() -> Response:
    headers = {"Content-Disposition": 'attachment; filename="shop.crt"'}
    own = own_certificate().read_bytes()
    return Response(own, content_type="application/x-x509-ca-cert", headers=headers)


def own_certificate() -> Path:
    """The file of the certificate that tablets are to trust. Raises NotFound where there is no https."""
    own = certificates.in_instance(config().instance).own
    if config().https_port is None or not own.exists():
        raise NotFound("The shop is not served by https.")
    return own


def own_fingerprint() -> str:
    """What a device shows of that certificate; empty where there is none."""
    try:
        return certificates.fingerprint(own_certificate())
    except NotFound:
        return ""


def chosen_address() -> str:
    """The address for the code to say. Raises BadInput for one that is not of this machine now."""
    found = reached.addresses()
    said = request.form.get("address", "") or (found[0] if found else "")
    if said not in found:
        raise BadInput("This machine is not at that address now.", "address")
    return said


def code_page(name: str, kind: str, address: str) -> str:
    """A page with a code of 128 random bits, made for it."""
    code = base64.b32encode(secrets.token_bytes(16)).decode().rstrip("=")
    with store().writing() as session:
        until = devices.offer(session, code, name, kind, now()).expires_at
    spaced = " ".join(code[n : n + 4] for n in range(0, len(code), 4))
    drawn = draw(f"{address}/pair#{code}")
    return render_template("devices/code.html", drawn=drawn, code=spaced, at=address, name=name, until=until)


def draw(text: str) -> Markup:
    """A code as a drawing in the page: the policy allows no picture that was made elsewhere."""
    return Markup(code_svg(text).decode())


def shown(fields: forms.Fields, wrong: BadInput | None) -> str:
    """The page with what was typed."""
    found = reached.addresses()
    with store().reading() as session:
        rows = devices.list_devices(session)
    lost = {row.id for row in rows if found and row.paired_address not in found}
    return render_template(
        "devices/list.html",
        devices=rows,
        lost=lost,
        kinds=KINDS,
        addresses=found,
        choices=[(a, a) for a in found],
        lan=config().lan,
        https=config().https_port is not None,
        fingerprint=own_fingerprint(),
        plain=reached.plain_addresses(),
        fields=fields,
        wrong=wrong,
    )
