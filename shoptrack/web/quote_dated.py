"""A quote and a day that a customer asks for → the day that can be promised, and the chance of theirs."""

from dataclasses import dataclass
from datetime import date

from shoptrack.flows.planning.reckoned import QuoteDate, date_of_quote
from shoptrack.web import forms
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.quote_page import QuotePage


@dataclass(frozen=True, slots=True)
class DateShown:
    """The day of a quote, and the ``chance`` (0 to 1) that it is ready by the day ``wish``."""

    found: QuoteDate
    wish: date | None = None
    chance: float | None = None


def date_shown(page: QuotePage, fields: Fields) -> DateShown:
    """What a quote's page says of its day. Raises BadInput for a day asked for that is none."""
    wish = forms.maybe_day(fields, "by", "The day")
    begin = page.is_newest and not page.answered
    found = date_of_quote(store(), page.id, page.revision_id, now(), begin)
    if wish is None or found.promise is None:
        return DateShown(found)
    return DateShown(found, wish, found.promise.chance_by(wish))
