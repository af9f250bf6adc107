from math import log

import pytest

from shoptrack.engine import durations
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Log, Prediction
from shoptrack.flows.rests_on import rests_on

AT_130 = Prediction(df=9.0, loc=log(130.0), scale=0.3684, logs=7, of_pattern=3, set_aside=1)


def test_all_of_it_in_one_sentence() -> None:
    """The sentence of the methods, word for word: 2 h 10 in the middle, 8 in 10 under 3 h."""
    assert rests_on(AT_130, "joints") == (
        "7 logged, 3 of this pattern, 1 set aside, scaled by joints: half under 2 h 10, 8 in 10 under 3 h."
    )


def test_three_logs_of_one_pattern() -> None:
    """The fixed answer of the methods: 120, 110 and 130 min; the fourth is half under 112.76, 8 in 10 under
    152.20 min."""
    taught = durations.Beliefs(half_life=None, wild_from=None)
    logs = [Log(str(n), minutes, 10.0, 1, n) for n, minutes in enumerate((120.0, 110.0, 130.0))]
    fit = durations.fit(logs, Rule(100.0, 0.0), taught)
    said = rests_on(durations.predict(fit, 10.0, 1, 3), "joints")
    assert said == "3 logged, 3 of this pattern, scaled by joints: half under 1 h 53, 8 in 10 under 2 h 32."


@pytest.mark.parametrize(
    ("foretold", "said"),
    [
        (Prediction(6.0, log(60.0), 0.1), "untested: nothing logged yet, from the rule of thumb, scaled by"),
        (Prediction(6.0, log(60.0), 0.1, logs=4), "untested: 4 logged, none of this pattern, scaled by"),
        (Prediction(6.0, log(60.0), 0.1, logs=1, of_pattern=1), "1 logged, 1 of this pattern, scaled by"),
    ],
)
def test_what_was_never_logged_is_untested(foretold: Prediction, said: str) -> None:
    """Half under 60 min whatever it rests on; with nothing of the pattern it says so first."""
    assert rests_on(foretold, "coats").startswith(f"{said} coats: half under 1 h, 8 in 10 under ")


def test_without_a_pattern_nothing_is_said_of_one() -> None:
    """A one-off is not untested: there is no pattern that could have been logged."""
    assert rests_on(AT_130, "joints", patterned=False).startswith("7 logged, 1 set aside, scaled by joints:")
    nothing = Prediction(6.0, log(60.0), 0.1)
    assert rests_on(nothing, "coats", patterned=False).startswith(
        "nothing logged yet, from the rule of thumb"
    )
