"""Chances, shares and amounts as makers say them."""

import pytest

from shoptrack.web.quote_words import amount, chance, hours, per_cent


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "less than 1 in 200"),
        (0.0024, "less than 1 in 200"),
        (0.005, "1 in 200"),
        (0.0058, "1 in 170"),
        (0.034, "1 in 29"),
        (0.083, "1 in 12"),
        (0.2, "1 in 5"),
        (0.29, "1 in 3"),
        (0.4, "4 in 10"),
        (0.5, "5 in 10"),
        (0.93, "9 in 10"),
        (0.97, "more than 9 in 10"),
        (0.999, "all but certain"),
        (1.0, "all but certain"),
    ],
)
def test_a_chance_in_plain_words(share: float, words: str) -> None:
    assert chance(share) == words


def test_shares_amounts_and_hours() -> None:
    assert [per_cent(s) for s in (None, 0.25, -0.125, 0.0, -0.0001)] == ["–", "25 %", "−12 %", "0 %", "0 %"]
    assert per_cent(3 / 7, 2) == "42.86 %"
    assert [amount(a) for a in (12.5, 0.01354, 1234.4, 7.0)] == ["12.5", "0.01354", "1234", "7"]
    assert [hours(m) for m in (0, 45, 60, 130, 599, 600, 1740, 90_000)] == [
        "0 min", "45 min", "1 h", "2 h 10", "9 h 59", "10 h", "29 h", "1,500 h",
    ]  # fmt: skip
