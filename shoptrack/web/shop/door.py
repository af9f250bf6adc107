"""A request to a Shop screen → who changes what, from when on, and in which units."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from flask import Blueprint, current_app
from werkzeug.exceptions import HTTPException

from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import wall
from shoptrack.web.render import Wall

bp = Blueprint("shop", __name__)
bp.before_request(rights.needs_office)


@dataclass(frozen=True, slots=True)
class Editor:
    """Who changes something, when, and how the shop writes things."""

    who: int | None
    now: datetime
    wall: Wall

    @property
    def today(self) -> date:
        """The day by the shop's own wall."""
        return self.wall.local(self.now).date()

    def begins_at(self, fields: Fields) -> datetime:
        """From when on it counts: from the start of the day that was given, else from now."""
        on = forms.maybe_day(fields, "from_on", "The day it counts from")
        return self.now if on is None else self.midnight(on)

    def begins_on(self, fields: Fields) -> date:
        """The day from which it counts: the one that was given, else today."""
        return forms.maybe_day(fields, "from_on", "The day it counts from") or self.today

    def midnight(self, on: date) -> datetime:
        """The start of a day by the shop's own wall."""
        return datetime.combine(on, time(0), ZoneInfo(self.wall.zone)).astimezone(UTC)


def editor() -> Editor:
    """Whoever makes this request."""
    return Editor(rights.acting(), now(), wall())


def is_there(path: str) -> bool:
    """Whether a page has an address in this program."""
    try:
        current_app.url_map.bind("").match(path)
    except HTTPException:
        return False
    return True


def page_number(fields: Fields) -> int:
    """Which page of a long list, from 1."""
    return forms.whole({"page": fields.get("page", "1")}, "page", "The page", most=100_000)
