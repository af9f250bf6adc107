"""The server's clock to the one instant a request works with; nothing else in the pages reads it."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import cast

from flask import current_app, g


def now() -> datetime:
    """The instant of this request, the same however often it is asked; NOW in the settings overrides it."""
    if "now" not in g:
        clock = cast("Callable[[], datetime] | None", current_app.config.get("NOW"))
        g.now = clock() if clock else datetime.now(UTC)  # noqa: TID251 # this is the one place
    return cast(datetime, g.now)


def settle(at: datetime) -> datetime:
    """Let this request speak of ``at``, so that equal instants give equal pages."""
    g.now = at
    return at
