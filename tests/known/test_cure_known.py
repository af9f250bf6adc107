"""Cure held against published factors and trade facts."""

import math
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from shoptrack.engine.cure import reckon
from shoptrack.engine.shapes import Calendar, Mark, Recipe, Room, RoomProfile, Week

BOLTZMANN_EV = 8.617333262e-5  # eV/K, exact in the SI since 2019; from memory
SHOP = Calendar("UTC", (Week(date(2020, 1, 1), (((time(6), time(18)),),) * 7),))
CLOSED = datetime(2026, 1, 5, 6, tzinfo=UTC)
OFF = Mark("clamps off", "clamps off", 60, gates=True)
YELLOW = Recipe(1, "yellow glue", "glue", (OFF, Mark("full strength", "full strength", 1440)), 20.0, 2.3)


def room(heated_c: float, unheated_c: float | None = None) -> Room:
    """Heated from six to six every day, or steady."""
    night_c = heated_c if unheated_c is None else unheated_c
    profile = RoomProfile((heated_c,) * 12, (night_c,) * 12, time(6), time(18))
    return Room(1, "bench room", ((CLOSED, profile),))


def opens_min(recipe: Recipe, where: Room, mark: int = 0) -> float:
    from_at = reckon(recipe, where, (), SHOP, CLOSED).marks[mark].from_at
    assert from_at is not None
    return (from_at - CLOSED).total_seconds() / 60


def aged(q10: float, reference_c: float, minutes: float = 60, **changes: object) -> Recipe:
    mark = replace(OFF, from_min=minutes, **changes)  # type: ignore[arg-type]
    return replace(YELLOW, q10=q10, reference_c=reference_c, marks=(mark,))


def fahrenheit(f: float) -> float:
    return (f - 32) * 5 / 9


def arrhenius(activation_ev: float, cold_c: float, warm_c: float) -> float:
    """AF = exp[(Ea/k)(1/T1 − 1/T2)], kelvin."""
    inverse = 1 / (cold_c + 273.15) - 1 / (warm_c + 273.15)
    return math.exp(activation_ev / BOLTZMANN_EV * inverse)


@pytest.mark.parametrize(
    ("activation_ev", "cold_c", "warm_c", "factor", "within"),
    [
        # Documentation of the PyPI library "reliability", Acceleration factor.
        (1.2, 60.0, 100.0, 88.29574588, 1e-7),
        # NIST/SEMATECH e-Handbook of Statistical Methods 8.1.5.1; from memory. 133 is printed in whole
        # numbers, so it holds to half of one.
        (0.5, 25.0, 125.0, 133.0, 0.5 / 133),
        (1.0, 25.0, 125.0, 17597.0, 5e-4),
    ],
)
def test_arrhenius_factor_by_factor_and_by_table(
    activation_ev: float, cold_c: float, warm_c: float, factor: float, within: float
) -> None:
    """The same acceleration said to the engine as a factor per ten degrees and as a table of minutes."""
    found = arrhenius(activation_ev, cold_c, warm_c)
    assert found == pytest.approx(factor, rel=within)
    q10 = found ** (10 / (warm_c - cold_c))
    minutes = 60 * 24.0
    by_factor = opens_min(aged(q10, cold_c, minutes), room(warm_c))
    assert minutes / by_factor == pytest.approx(factor, rel=within)
    # A table made with Arrhenius minutes every five degrees; the engine reads it within its two ends.
    lines = [cold_c + 5 * n for n in range(round((warm_c - cold_c) / 5) + 1)]
    table = tuple((c, minutes / arrhenius(activation_ev, cold_c, c)) for c in lines)
    by_table = opens_min(aged(2.0, cold_c, minutes, points=table), room(warm_c))
    assert minutes / by_table == pytest.approx(factor, rel=within)


def test_table_in_log_minutes_follows_arrhenius_between_its_lines() -> None:
    """Lines at 10, 20 and 30 °C, 0.6 eV: between them log minutes bend less than one part in a hundred."""
    minutes = 600.0
    table = tuple((c, minutes / arrhenius(0.6, 20.0, c)) for c in (10.0, 20.0, 30.0))
    for c in (12.5, 15.0, 25.0, 28.0):
        # The Arrhenius formula itself is the judge (NIST/SEMATECH e-Handbook 8.1.5.1, from memory).
        found = opens_min(aged(2.0, 20.0, minutes, points=table), room(c))
        assert found == pytest.approx(minutes / arrhenius(0.6, 20.0, c), rel=0.01)


def test_rule_of_ten() -> None:
    """55 °C against 25 °C is eight times as fast; what takes 730 takes 91.25."""
    # Rule of ten, Q10 = 2, the form of ASTM F1980.
    recipe = aged(2.0, 25.0, 730.0)
    assert opens_min(recipe, room(25)) / opens_min(recipe, room(55)) == pytest.approx(8, rel=1e-9)
    assert opens_min(recipe, room(55)) == pytest.approx(91.25, abs=1e-6)


@pytest.mark.parametrize(
    ("c", "times_as_long"),
    # Q10 = 2 against 20 °C (arithmetic).
    [(5.0, 2.828), (10.0, 2.000), (15.0, 1.414), (25.0, 0.7071), (30.0, 0.5)],
)
def test_factor_of_two_against_twenty_degrees(c: float, times_as_long: float) -> None:
    assert opens_min(aged(2.0, 20.0, 1000.0), room(c)) / 1000 == pytest.approx(times_as_long, abs=5e-4)


def test_equivalent_age_of_changing_warmth() -> None:
    """Closed at six, heated until noon: six hours at 20 °C, twelve at 10 °C, twelve hours old at midnight."""
    # Equivalent age Σ Δt·Q10^((T − Tref)/10): 6 h at 20 °C + 12 h at 10 °C = 12 h at 20 °C (arithmetic).
    profile = RoomProfile((20.0,) * 12, (10.0,) * 12, time(6), time(12))
    where = Room(1, "bench room", ((CLOSED, profile),))
    assert opens_min(aged(2.0, 20.0, 12 * 60), where) == pytest.approx(18 * 60, abs=1e-6)


@pytest.mark.parametrize(("f", "times"), [(70, 1), (55, 2), (40, 4), (85, 0.5)])
def test_yellow_glue_doubles_per_fifteen_fahrenheit_colder(f: float, times: float) -> None:
    # Wood magazine, "Give the glue time": 1 h in clamps and a day to full strength at 70 °F, both
    # double per 15 °F colder, which is Q10 = 2.30.
    at_seventy = replace(YELLOW, reference_c=fahrenheit(70))
    assert opens_min(at_seventy, room(fahrenheit(f))) == pytest.approx(60 * times, rel=3e-3)
    assert opens_min(at_seventy, room(fahrenheit(f)), 1) == pytest.approx(1440 * times, rel=3e-3)
    doubling = 2 ** (10 / (15 * 5 / 9))
    assert doubling == pytest.approx(YELLOW.q10, abs=5e-3)


def test_yellow_glue_below_its_limit_stops_and_is_doubted() -> None:
    """A room of 48 °F, a limit of 50 °F: never simply done."""
    # Lower limit of use 40–55 °F by glue, a clock stops and warns below it: several trade sources.
    glue = replace(YELLOW, lowest_c=fahrenheit(50), below="spoils")
    cure = reckon(glue, room(fahrenheit(48)), (), SHOP, CLOSED)
    assert cure.doubtful
    assert cure.marks[0].from_at is None
    assert not reckon(glue, room(fahrenheit(52)), (), SHOP, CLOSED).doubtful


def test_oil_varnish_between_coats() -> None:
    # Fine Woodworking, June 2021, p. 50: 24 h between coats, longer in the cold; 2–3 weeks before
    # rubbing out.
    marks = (Mark("recoat", "recoat", 24 * 60, gates=True), Mark("work", "rub out", 14 * 24 * 60))
    varnish = Recipe(2, "oil varnish", "finish", marks)
    cure = reckon(varnish, room(20), (), SHOP, CLOSED)
    assert cure.gate_at() == CLOSED + timedelta(hours=24)
    assert cure.marks[1].from_at == CLOSED + timedelta(weeks=2)
    assert opens_min(varnish, room(15)) > 30 * 60


def test_varnish_with_an_upper_recoat_limit() -> None:
    # A finisher's notes, common practice, no source: not before 6 h, not after 20 h, else scuff-sand.
    varnish = Recipe(2, "varnish", "finish", (Mark("recoat", "recoat", 6 * 60, 20 * 60, gates=True),))
    mark = reckon(varnish, room(20), (), SHOP, CLOSED).marks[0]
    assert (mark.from_at, mark.until_at) == (CLOSED + timedelta(hours=6), CLOSED + timedelta(hours=20))


def test_sunken_joints_are_a_caution_that_holds_nothing_up() -> None:
    """A week from edge-gluing to surfacing for show; the next step may start at clamps off all the same."""
    # Prof. E. Wengert, University of Wisconsin extension: generally 7 days for water-based glue.
    week = Mark("work", "surface for show", 7 * 24 * 60, caution="Planed sooner, joints may sink.")
    cure = reckon(replace(YELLOW, marks=(OFF, week)), room(20), (), SHOP, CLOSED)
    assert cure.marks[1].from_at == CLOSED + timedelta(days=7)
    assert cure.gate_at() == CLOSED + timedelta(hours=1)


@pytest.mark.parametrize(("inlays", "clamps", "rounds"), [(20, 7, 3), (21, 7, 3), (22, 7, 4), (5, 8, 1)])
def test_one_clamp_to_an_inlay_makes_rounds(inlays: int, clamps: int, rounds: int) -> None:
    """Press in as many inlays as there are clamps, wait for them to come off, go on with the rest."""
    # One clamp per inlay pressed in by hand: ceil(N/M) rounds; common practice, no source.
    left, at, seen = inlays, CLOSED, 0
    while left > 0:
        gate = reckon(YELLOW, room(20), (), SHOP, at).gate_at()
        assert gate is not None
        left, at, seen = left - min(clamps, left), gate, seen + 1
    assert seen == rounds == math.ceil(inlays / clamps)
    assert at == CLOSED + timedelta(hours=rounds)


@pytest.mark.parametrize(
    ("zone", "evening_on", "wall"),
    [
        # Zone database (IANA tz): the clocks change in the night after each of these evenings.
        ("America/New_York", date(2026, 3, 7), time(9)),
        ("America/New_York", date(2026, 10, 31), time(7)),
        ("Europe/Berlin", date(2026, 3, 28), time(9)),
        ("Australia/Lord_Howe", date(2026, 4, 4), time(7, 30)),
        ("Asia/Kolkata", date(2026, 3, 28), time(8)),
    ],
)
def test_night_across_a_change_of_clocks_cures_real_hours(zone: str, evening_on: date, wall: time) -> None:
    """Closed at eight in the evening, twelve hours: by the wall an hour later or sooner than eight."""
    shop = Calendar(zone, SHOP.shop)
    closed = datetime.combine(evening_on, time(20), ZoneInfo(zone)).astimezone(UTC)
    from_at = reckon(aged(2.0, 20.0, 12 * 60), room(20), (), shop, closed).marks[0].from_at
    assert from_at == closed + timedelta(hours=12)
    assert from_at.astimezone(ZoneInfo(zone)).time() == wall
