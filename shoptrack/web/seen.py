"""The newest change when a form was shown → a hidden field of it, and read again from what is posted."""

from flask import Flask, g, request

from shoptrack.errors import BadInput, ChangedMeanwhile
from shoptrack.store.overtaken import newest_line
from shoptrack.web.forms import Fields
from shoptrack.web.here import store

WITH_FORMS_OF_VALUES = frozenset({"awaited", "shop", "customers", "job_change", "times"})


def hang(app: Flask) -> None:
    """Look up the newest change before a page of forms reads anything, and give it to the templates."""
    app.before_request(_look)
    app.jinja_env.globals["seen_before"] = seen_before


def _look() -> None:
    if request.blueprint in WITH_FORMS_OF_VALUES:
        with store().reading() as session:
            g.newest_line = newest_line(session)


def seen_before(wrong: BadInput | None) -> int:
    """What the form to be shown has seen: what it had when it comes back, but once it was told, all."""
    posted = seen(request.form) if request.method == "POST" else None
    newest: int = g.newest_line
    return newest if posted is None or isinstance(wrong, ChangedMeanwhile) else posted


def seen(fields: Fields) -> int | None:
    """The newest change when the posted form was shown; None where it doesn't say."""
    text = fields.get("seen", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None
