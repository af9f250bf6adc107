"""What would have been foretold then: by what was finished, ruled and said by then, and by nothing later."""

from datetime import timedelta

import pytest

from shoptrack.engine import durations
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Log
from shoptrack.flows import as_of
from shoptrack.flows.as_of import AsOf
from shoptrack.flows.taught import KindTimes
from shoptrack.store.logs import Logged
from tests.joinery import NOW

DAY = timedelta(days=1)
RULE = Rule(10, 20)
RULES = {1: ((NOW - 900 * DAY, RULE),)}


def made(day: float, minutes: float, pattern: int | None = 7, order: str = "", **said: object) -> Logged:
    """Two boards, finished some days before now (or after)."""
    at = NOW + day * DAY
    key = f"s{day}"
    return Logged(  # type: ignore[arg-type]
        key, 1, pattern, order or f"j{day}", 1, None, None, "milling", at, at, 2.0, minutes, 0.0, **said
    )


def known(*times: Logged) -> AsOf:
    return AsOf({1: KindTimes().with_more(times)}, RULES)


def test_what_was_finished_later_is_not_known() -> None:
    """With and without the times that came after, and one finished at that very instant."""
    times = [made(-3, 50), made(-2, 60), made(-1, 55)]
    told = known(*times).foretell(1, 2.0, 7, "new", NOW)
    later = known(*times, made(0, 500), made(5, 900)).foretell(1, 2.0, 7, "new", NOW)
    assert later == told
    assert (told.logs, told.of_pattern) == (3, 3)


def test_it_is_what_a_fit_of_those_times_foretells() -> None:
    """With the shop's level of noise as it is reckoned from them; no order of the pattern twice."""
    minutes = [50, 60, 55, 58, 52]
    times = [made(n - 9, taken) for n, taken in enumerate(minutes)]
    logs = [Log(one.key, one.hands_min, 2.0, 7, n) for n, one in enumerate(times)]
    fitted = durations.fit_shop({1: (logs[:-1], RULE)})[1]
    level = durations.Beliefs(noise=fitted.noise)
    usual = durations.predict(durations.fit(logs, RULE, level), 3.0, 7, 5)
    told = known(*times).foretell(1, 3.0, 7, "new", NOW)
    assert (told.loc, told.scale, told.df) == pytest.approx((usual.loc, usual.scale, usual.df), rel=0.03)


def test_before_anything_was_finished_the_rule_of_thumb_in_force_then_answers() -> None:
    """Later the rule was doubled: by then it counts."""
    dated = {1: ((NOW - 9 * DAY, RULE), (NOW, Rule(20, 40)))}
    told = [AsOf({}, dated).foretell(1, 2.0, None, "", NOW + days * DAY) for days in (-20, -1, 1)]
    assert [durations.quantile_min(one, 0.5) for one in told] == pytest.approx([50, 50, 100])
    assert all(one.untested and not one.logs for one in told)


def test_a_kind_that_never_had_a_rule_is_foretold_by_its_times() -> None:
    times = {1: KindTimes().with_more([made(n - 9, 50) for n in range(8)])}
    assert 30 < durations.quantile_min(AsOf(times, {}).foretell(1, 2.0, 7, "new", NOW), 0.5) < 80


def test_a_word_counts_from_when_it_was_said() -> None:
    """The wild time was left out today; yesterday nobody had said anything."""
    usual = [made(n - 9, 50 + n) for n in range(6)]
    wild = made(-2, 90, counts=False, said_at=NOW)
    silent = made(-2, 90)
    as_said, unsaid = known(*usual, wild), known(*usual, silent)
    assert as_said.foretell(1, 2.0, 7, "new", NOW - DAY) == unsaid.foretell(1, 2.0, 7, "new", NOW - DAY)
    after = NOW + DAY
    assert as_said.foretell(1, 2.0, 7, "new", after).loc < unsaid.foretell(1, 2.0, 7, "new", after).loc


def test_an_order_repeats_those_before_it_not_itself() -> None:
    """The second stage of order b has one order before it, whatever came after; a new one has two."""
    own = known(made(-3, 50, order="a"), made(-2, 50, order="b"), made(-1, 50, order="b"))
    assert own._before(1, 7, "b", NOW) == (3, 1)
    assert own._before(1, 7, "c", NOW) == (3, 2)
    assert own._before(1, 7, "b", NOW - 2.5 * DAY) == (1, 1)
    assert own._before(1, 8, "b", NOW) == own._before(1, None, "b", NOW) == (0, 0)


def test_many_times_are_fitted_after_every_fifth_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """From a hundred times on, ten more take three fits and not ten; it is told of all 110."""
    own = known(*(made(n - 120, 50 + n % 7) for n in range(120)))
    own.foretell(1, 2.0, 7, "new", NOW - 21 * DAY)
    counted, fit = [], durations.fit

    def counting(*asked: object) -> object:
        counted.append(asked)
        return fit(*asked)  # type: ignore[arg-type]

    monkeypatch.setattr(as_of.durations, "fit", counting)
    monkeypatch.setattr(own, "_level", lambda at: (0, durations.USUAL))
    told = [own.foretell(1, 2.0, 7, "new", NOW - (19.5 - n) * DAY) for n in range(10)]
    assert len(counted) == 3
    assert [one.logs for one in told] == list(range(101, 111))


def test_the_level_of_noise_is_reckoned_anew_as_times_grow_by_a_tenth() -> None:
    own = known(*(made(n - 60, 50) for n in range(60)))
    reached = [own._level(NOW + (n - 60 - 0.5) * DAY)[0] for n in (0, 1, 9, 21, 22, 23, 60)]
    assert reached == [0, 1, 9, 20, 22, 22, 60]
