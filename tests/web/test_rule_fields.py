import pytest

from shoptrack.engine.shapes import Rule
from shoptrack.errors import BadInput
from shoptrack.web.rule_fields import read_rule, rule_words


@pytest.mark.parametrize(
    ("setup", "rate", "rule"),
    [
        ("20 min", "7.5", Rule(20, 7.5)),
        ("1 h 10", "", Rule(70, 0)),
        ("", "0.5 min", Rule(0, 0.5)),
    ],
)
def test_what_was_typed(setup: str, rate: str, rule: Rule) -> None:
    assert read_rule({"setup": setup, "rate": rate}) == rule


@pytest.mark.parametrize(
    ("setup", "rate", "field"),
    [
        ("", "", "rate"),
        ("0", "0", "rate"),
        ("soon", "5", "setup"),
        ("5", "-5", "rate"),
        ("900 days", "1", "setup"),
    ],
)
def test_what_can_not_be_a_rule(setup: str, rate: str, field: str) -> None:
    with pytest.raises(BadInput) as wrong:
        read_rule({"setup": setup, "rate": rate})
    assert wrong.value.field == field


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        (Rule(15, 6), "15 min set-up, 6 min each"),
        (Rule(0, 1.18), "1.18 min each"),
        (Rule(90, 0), "1 h 30 set-up"),
        (Rule(0.2, 125), "2 h 05 each"),
        (Rule(0, 0), "no minutes"),
    ],
)
def test_in_words(rule: Rule, words: str) -> None:
    assert rule_words(rule) == words
