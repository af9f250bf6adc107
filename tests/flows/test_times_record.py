from datetime import UTC, datetime, timedelta
from math import log

import numpy as np
import pytest
from scipy.stats import t

from shoptrack.engine.durations import chance_under, quantile_min
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.flows.foretold import Foretold
from shoptrack.flows.times_record import FEWEST, against, records

KINDS = {1: "milling", 2: "glue-up", 3: "inlay"}
FIRST = datetime(2026, 1, 5, 12, tzinfo=UTC)


def told(kind: int, n: int, minutes: float, counted: bool = True, scale: float = 0.4) -> Foretold:
    foretold = Prediction(9.0, log(60.0), scale, logs=5, of_pattern=1)
    return Foretold(
        key=f"s{kind}-{n}",
        kind=kind,
        job=n,
        stage="a stage",
        pattern=1,
        started_at=FIRST + timedelta(days=n, hours=-1),
        finished_at=FIRST + timedelta(days=n),
        quantity=4,
        minutes=minutes,
        prediction=foretold,
        share=chance_under(foretold, minutes),
        imported=n % 2 == 0,
        later=n < 3,
        counted=counted,
    )


def test_nothing_foretold_yet() -> None:
    (whole,) = records([], KINDS)
    assert (whole.of, whole.median_share) == (0, None)
    assert all(held.too_few and held.verdict == "too few" for held in whole.held)


def test_as_it_was_said_it_holds() -> None:
    """Two hundred at even shares of the very distribution that was foretold, by scipy's own Student t."""
    drawn = 60.0 * np.exp(0.4 * t.ppf((np.arange(200) + 0.5) / 200, 9.0))
    whole, glue = records([told(2, n, float(minutes)) for n, minutes in enumerate(drawn)], KINDS)
    assert (whole.of, glue.of, glue.name) == (200, 200, "glue-up")
    for said, held in zip((0.5, 0.8, 0.9), whole.held, strict=True):
        assert held.said == held.share == said
        assert held.low < said < held.high
        assert held.verdict == "as said"
    assert (whole.later, whole.imported) == (3, 100)


def test_always_longer_is_said_so() -> None:
    whole, _ = records([told(1, n, 300.0) for n in range(40)], KINDS)
    assert [held.held for held in whole.held] == [0, 0, 0]
    assert {held.verdict for held in whole.held} == {"less often"}
    assert whole.median_share == pytest.approx(5.0)


def test_always_shorter_is_said_so() -> None:
    whole, _ = records([told(1, n, 5.0) for n in range(200)], KINDS)
    assert {held.verdict for held in whole.held} == {"more often"}


def test_too_few_to_say() -> None:
    track = [told(1, n, 300.0) for n in range(FEWEST - 1)]
    assert records(track, KINDS)[0].held[1].verdict == "too few"
    assert records([*track, told(1, 99, 300.0)], KINDS)[0].held[1].verdict == "less often"


def test_what_does_not_count_is_not_counted() -> None:
    track = [told(1, n, 60.0, counted=n % 2 == 0) for n in range(10)]
    assert records(track, KINDS)[0].of == 5
    assert len(against(track, None, 60)) == 5


def test_the_newest_against_what_was_foretold() -> None:
    """Of one kind, oldest first; half under 60 min, and 8 in 10 under what the distribution says."""
    track = [told(1, n, 50.0 + n) for n in range(9)] + [told(2, 20, 60.0)]
    found = against(track, 1, 3)
    assert [one.told.minutes for one in found] == [56.0, 57.0, 58.0]
    assert round(found[0].p50, 9) == 60.0
    assert found[0].p80 == quantile_min(track[0].prediction, 0.8)
    assert len(against(track, None, 60)) == 10
