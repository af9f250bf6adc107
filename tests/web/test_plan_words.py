"""Words on the Plan: days late and early, how the promises stand, what the plan saves on the simple rule."""

from dataclasses import replace

import pytest

from shoptrack.web.plan_words import (
    against,
    cures_as,
    day_month,
    found_words,
    improved_words,
    late_words,
    weekday,
)
from tests.web.planned import GLUE, THURSDAY, line, view


@pytest.mark.parametrize(
    ("days", "late", "words"),
    [
        (2, True, "2 days late"),
        (1, True, "1 day late"),
        (0, True, "late by hours"),
        (0, False, "on the day"),
        (-1, False, "1 day early"),
        (-4, False, "4 days early"),
    ],
)
def test_a_job_against_its_date(days: int, late: bool, words: str) -> None:
    assert against(line(days=days, late=late)) == words


def test_a_job_without_a_date_or_without_a_plan() -> None:
    assert against(line(days=None, late=False, promised_on=None)) == "no date promised"
    assert against(line(days=None, late=False, ready_at=None, ready_on=None)) == "not in the plan"


def test_how_the_promises_stand() -> None:
    kept = line("A4", days=-3, late=False)
    assert late_words(view(jobs=(line(), kept))) == "1 of 2 promised dates is missed, by 2 days in all."
    both = view(jobs=(line(), line("B3", days=1)), late_days=3)
    assert late_words(both) == "2 of 2 promised dates are missed, by 3 days in all."
    assert late_words(view(jobs=(kept, kept))) == "Every promised date is kept."
    assert late_words(view(jobs=(kept,))) == "The promised date is kept."
    assert (
        late_words(view(jobs=(line(days=None, late=False, promised_on=None),)))
        == "No job has a promised date."
    )
    assert late_words(view(jobs=())) == "No open job."


def test_what_it_saves_on_the_simple_rule() -> None:
    assert improved_words(view()) == "Taking jobs simply by rule would be late by 5 days in all."
    assert improved_words(view(rule_late_days=2)) == ""
    assert (found_words(view()), found_words(view(proven=True))) == ("best found", "proven best")
    assert found_words(view(by="rule")) == "found by a simple rule"


def test_a_cure_says_its_clamps() -> None:
    assert cures_as(GLUE) == "glue-up, 6 clamps"
    assert cures_as(replace(GLUE, clamps=1)) == "glue-up, 1 clamp"
    assert (
        cures_as(replace(GLUE, clamps=0, named=replace(GLUE.named, part="coat 2 of 3")))
        == "glue-up, coat 2 of 3"
    )


def test_a_day_in_letters() -> None:
    assert (weekday(THURSDAY), day_month(THURSDAY)) == ("Thu", "26 Nov")
