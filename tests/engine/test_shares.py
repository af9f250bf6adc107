import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from shoptrack.engine.shares import share_between


@given(of=st.integers(1, 5000), part=st.floats(0, 1), level=st.sampled_from((0.5, 0.8, 0.95, 0.99)))
def test_as_statsmodels_has_it(of: int, part: float, level: float) -> None:
    """Against ``proportion_confint`` with method "wilson" of statsmodels."""
    held = round(of * part)
    theirs = proportion_confint(held, of, alpha=1 - level, method="wilson")
    assert share_between(held, of, level) == pytest.approx(theirs, abs=1e-9)


def test_of_none_nothing_is_known() -> None:
    assert share_between(0, 0) == (0.0, 1.0)


@given(of=st.integers(1, 500), part=st.floats(0, 1))
def test_more_of_the_same_is_narrower(of: int, part: float) -> None:
    held = round(of * part)
    few, many = share_between(held, of), share_between(held * 10, of * 10)
    assert many[1] - many[0] < few[1] - few[0]
    assert few[0] <= held / of <= few[1]
