"""A request to yes or a plain no: trusted hosts, own origin on every write, and headers on every answer."""

import os
import secrets
from pathlib import Path

from flask import Flask, Response, abort, g, request
from flask.sessions import SecureCookieSessionInterface

from shoptrack.config import Config
from shoptrack.web.reached import OWN_HOSTS, host_name, hosts

GREATEST_REQUEST_BYTES = 2 * 1024 * 1024
CONTENT_POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    # not no-referrer: with that a plain form posts "Origin: null" and the origin check refuses it
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
READING = frozenset({"GET", "HEAD", "OPTIONS"})
WORKER = "js/worker.js"
__all__ = ["OWN_HOSTS", "guard", "host_name"]


class SafeSession(SecureCookieSessionInterface):
    """The cookie that says who is in the office: by https it goes back by https alone."""

    def get_cookie_secure(self, app: Flask) -> bool:
        """Whether the cookie is for https alone."""
        return request.is_secure


def secret_key(file: Path) -> str:
    """The key that cookies are signed with, made once, readable by its owner alone."""
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        kept = file.read_text(encoding="ascii").strip()
        if len(kept) >= 32:
            return kept
        handle = os.open(file, os.O_WRONLY | os.O_TRUNC, 0o600)
    key = secrets.token_hex(32)
    with os.fdopen(handle, "w", encoding="ascii") as out:
        out.write(key)
    return key


def guard(app: Flask, config: Config) -> None:
    """Set the limits and hang the checks on an app."""
    config.instance.mkdir(parents=True, exist_ok=True)
    app.config["SECRET_KEY"] = secret_key(config.secret_key_file)
    app.config["MAX_CONTENT_LENGTH"] = GREATEST_REQUEST_BYTES
    app.config["SESSION_COOKIE_SAMESITE"] = "Lax"
    app.session_interface = SafeSession()
    app.before_request(check_host)
    app.before_request(check_origin)
    app.after_request(add_headers)


def check_host() -> None:
    """Refuse a request made to a name that is not ours: a foreign page could have pointed it here."""
    asked = host_name(request.headers.get("Host", ""))
    if asked is None or asked not in {host_name(name) for name in hosts()}:
        g.device_kind = "anyone"  # so that nothing of the shop is on the page that says so
        abort(400, "This address is not one that this shop's server answers to.")


def check_origin() -> None:
    """Refuse a write that did not come from one of our own pages, another port of this host included."""
    if request.method in READING:
        return
    origin = request.headers.get("Origin", "")
    no_origin_but_ours = not origin and request.headers.get("Sec-Fetch-Site") == "same-origin"
    if origin != request.host_url.rstrip("/") and not no_origin_but_ours:
        abort(403, "That was not sent from a page of this shop, so nothing was written.")


def add_headers(response: Response) -> Response:
    """Put the headers on an answer; a page is kept by nobody longer than its validator says."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint == "static" and (request.view_args or {}).get("filename") == WORKER:
        response.headers["Service-Worker-Allowed"] = "/bench"
    if request.endpoint == "static" and "v" in request.args:
        response.headers["Cache-Control"] = "public, max-age=31536000, immutable"
    elif "ETag" in response.headers:
        response.headers.setdefault("Cache-Control", "private, no-cache")
    else:
        response.headers.setdefault("Cache-Control", "no-store")
    return response
