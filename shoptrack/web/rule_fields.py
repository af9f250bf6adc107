"""What was typed of a rule of thumb → the rule, and a rule to the words and fields that say it."""

from shoptrack.engine.shapes import Rule
from shoptrack.engine.units import minutes_words
from shoptrack.errors import BadInput
from shoptrack.web import forms
from shoptrack.web.forms import Fields

MOST_MIN = 60 * 24 * 60.0


def read_rule(fields: Fields) -> Rule:
    """The set-up and the time for each. Raises BadInput where both are nothing or can't be read."""
    setup = forms.maybe_minutes(fields, "setup", "The set-up", MOST_MIN) or 0.0
    rate = forms.maybe_minutes(fields, "rate", "The time for each", MOST_MIN) or 0.0
    if not setup and not rate:
        raise BadInput("A rule of thumb needs minutes: of set-up, for each, or both.", "rate")
    return Rule(setup, rate)


def rule_words(rule: Rule) -> str:
    """A rule, learned or said, in words: "21 min set-up, 6.2 min each"."""
    said = [f"{_some(rule.setup_min)} set-up" if rule.setup_min >= 0.5 else ""]
    said += [f"{_some(rule.rate_min)} each" if rule.rate_min > 0 else ""]
    return ", ".join(part for part in said if part) or "no minutes"


def _some(minutes: float) -> str:
    return minutes_words(minutes) if minutes >= 60 else f"{float(f'{minutes:.3g}'):g} min"
