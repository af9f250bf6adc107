"""The Shop screens, for everything the shop is: one blueprint, whose pages are there once imported."""

from shoptrack.web.shop import (
    days_off,
    edges,
    history,
    hour_cost_page,
    hours,
    itself,
    overtime_page,
    public_holidays,
    rates_page,
    router_page,
    sheet,
    terms_page,
    things,
)
from shoptrack.web.shop.door import bp

__all__ = [
    "bp",
    "days_off",
    "edges",
    "history",
    "hour_cost_page",
    "hours",
    "itself",
    "overtime_page",
    "public_holidays",
    "rates_page",
    "router_page",
    "sheet",
    "terms_page",
    "things",
]
