"""Working days, marks and the age of a plan to the words on the Plan screen."""

from datetime import date

from shoptrack.flows.planning.dates import JobDate
from shoptrack.flows.planning.nights import Curing
from shoptrack.flows.planning.view import PlanView
from shoptrack.web.render import DAYS, MONTHS


def weekday(on: date) -> str:
    """The short name of a weekday: "Thu"."""
    return DAYS[on.weekday()]


def day_month(on: date) -> str:
    """A day without its weekday and year: "26 Nov"."""
    return f"{on.day} {MONTHS[on.month - 1]}"


def days_words(days: int) -> str:
    """So many working days: "1 day", "3 days"."""
    return f"{days} day" if days == 1 else f"{days} days"


def against(line: JobDate) -> str:
    """How a job stands against its date: "2 days late", "3 days early", "on the day"."""
    if line.ready_at is None:
        return "not in the plan"
    if line.promised_on is None or line.days is None:
        return "no date promised"
    if line.late:
        return f"{days_words(line.days)} late" if line.days > 0 else "late by hours"
    if line.days > 0:
        return f"{days_words(line.days)} later, by what it waited for"
    return f"{days_words(-line.days)} early" if line.days < 0 else "on the day"


def found_words(view: PlanView) -> str:
    """What kind of best the plan is: proven, the best that was found, or as yet by a simple rule."""
    if view.proven:
        return "proven best"
    return "found by a simple rule" if view.by == "rule" else "best found"


def improved_words(view: PlanView) -> str:
    """What the plan improved on the simple rule of taking the earliest date first; empty where nothing."""
    saved = view.rule_late_days - view.late_days
    if saved > 0:
        return f"Taking jobs simply by rule would be late by {days_words(view.rule_late_days)} in all."
    return ""


def late_words(view: PlanView) -> str:
    """How the promises stand by this plan, in one sentence."""
    promised = sum(line.promised_on is not None for line in view.jobs)
    if not view.jobs:
        return "No open job."
    if not promised:
        return "No job has a promised date."
    if not view.late:
        return "Every promised date is kept." if promised > 1 else "The promised date is kept."
    many = f"{len(view.late)} of {promised} promised dates"
    return f"{many} {'is' if len(view.late) == 1 else 'are'} missed, by {days_words(view.late_days)} in all."


def cures_as(cure: Curing) -> str:
    """What a cure is in the night: its stage, and the clamps it holds."""
    part = f", {cure.named.part}" if cure.named.part else ""
    held = f", {cure.clamps} {'clamp' if cure.clamps == 1 else 'clamps'}" if cure.clamps else ""
    return f"{cure.named.name}{part}{held}"


FILTERS = (against, cures_as, day_month, days_words, found_words, improved_words, late_words, weekday)
"""What the templates say by the name of the function."""
