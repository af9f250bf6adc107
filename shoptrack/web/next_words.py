"""Why something is next → a sentence in the shop's own time, as a filter for the pages that say it."""

from flask import Blueprint

from shoptrack.flows.planning.next_up import Blocked, Slot, Why, words
from shoptrack.web.clock import now
from shoptrack.web.here import wall
from shoptrack.web.render import listed, when


def add_words(screen: Blueprint) -> None:
    """Let templates write ``found|because`` and ``slot|slot_words``."""
    screen.add_app_template_filter(because, "because")
    screen.add_app_template_filter(slot_words, "slot_words")


def because(found: Why | Blocked | None) -> str:
    """Why it is next, or what it waits for: "router free 15:00"."""
    return "" if found is None else words(found, lambda at: when(at, now(), wall()))


def slot_words(slot: Slot) -> str:
    """When the plan has it and who does it: "now Una", "tomorrow 9:30 Una and Piet"."""
    at = "now" if slot.starts_at is None else when(slot.starts_at, now(), wall())
    return f"{at} {listed(slot.names)}".strip()
