from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.learning import KindLearned, learned
from shoptrack.flows.times_of_kind import A_PAGE, KindPage, foretell, kind_page, known_kind, months
from tests.joinery import NOW, PIET, Joinery
from tests.times import bring_in, mill


def known(joinery: Joinery, kind: str) -> KindLearned:
    return known_kind(learned(joinery.store, NOW), joinery.kinds[kind])


def page(joinery: Joinery, kind: str, number: int = 1) -> KindPage:
    found = known(joinery, kind)
    with joinery.store.reading() as session:
        return kind_page(session, found, number)


def test_nothing_logged(joinery: Joinery) -> None:
    found = page(joinery, "milling")
    assert (found.patterns, found.months, found.newest, found.pages) == ((), (), (), 1)
    assert [name for _, name in found.choices] == ["door", "tray"]


def test_each_pattern_has_a_line_of_its_own(joinery: Joinery) -> None:
    """Ten doors of 60 min and ten trays of 90: the tray's learned rule gives more, and so does its range."""
    tray, door = 1, 2
    bring_in(joinery, "glue-up", [90.0] * 10, pattern=tray)
    bring_in(joinery, "glue-up", [60.0] * 10, pattern=door, first=date(2026, 3, 1))
    first, second = page(joinery, "glue-up").patterns
    assert (first.name, first.orders, first.logs) == ("door", 10, 10)
    assert (second.name, second.orders) == ("tray", 10)
    assert first.range is not None
    assert second.range is not None
    assert first.range.p50 == pytest.approx(60, rel=0.1)
    assert second.range.p50 == pytest.approx(90, rel=0.1)
    assert first.learned.minutes(4) < second.learned.minutes(4)


def test_months_are_the_shops_own(joinery: Joinery) -> None:
    """Two joints by the rule of 10 + 20 each are 50 min: 75 and 100 are 150 % and 200 % of it; an evening in
    New York on the last of a month is of that month, though it is the next one's morning by UTC."""
    bring_in(joinery, "glue-up", [75.0, 75.0, 75.0], quantity=2, first=date(2026, 1, 29))
    bring_in(joinery, "glue-up", [100.0], quantity=2, first=date(2026, 3, 31))
    found = page(joinery, "glue-up").months
    assert [(m.first, m.count) for m in found] == [(date(2026, 1, 1), 3), (date(2026, 3, 1), 1)]
    assert [m.share for m in found] == pytest.approx([1.5, 2.0])
    assert [m.minutes for m in found] == pytest.approx([75, 100])


def test_a_month_in_which_the_clocks_change_ends_at_its_own_midnight(joinery: Joinery) -> None:
    """Finished at 23:30 and at 0:30 by New York's clocks around the ends of the months in which they change:
    October until 4:00 by UTC and November until 5:00, March from 5:00 and until 4:00.
    Source: the zone database (America/New_York), changes of 8 March and 1 November 2026.
    """
    bring_in(joinery, "milling", [40.0] * 8)
    milling = known(joinery, "milling")
    ends = [datetime(2026, month, 1, hour, tzinfo=UTC) for month, hour in ((3, 5), (4, 4), (11, 4), (12, 5))]
    finishes = [end + timedelta(minutes=late) for end in ends for late in (-30, 30)]
    times = [replace(one, finished_at=at) for one, at in zip(milling.times, finishes, strict=True)]
    found = months(replace(milling, times=tuple(times)), ZoneInfo("America/New_York"))
    assert [(m.first.month, m.count) for m in found] == [(2, 1), (3, 2), (4, 1), (10, 1), (11, 2), (12, 1)]


def test_the_newest_times_with_job_and_person(joinery: Joinery) -> None:
    job = mill(joinery, "six trays, elm", 70, -2, PIET)
    bring_in(joinery, "milling", [40.0], job="old “tray” <b>")
    first, second = page(joinery, "milling").newest
    assert (first.log.job, first.names.title, first.names.who, first.names.pattern) == (
        job,
        "six trays, elm",
        "Piet",
        "tray",
    )
    assert first.log.hands_min == 70
    assert (second.log.imported, second.names.title) == (True, "old “tray” <b>")


def test_thousands_are_shown_page_by_page(joinery: Joinery) -> None:
    bring_in(joinery, "milling", [50.0] * 2001, first=date(2020, 1, 1))
    first = page(joinery, "milling")
    assert first.pages == -(-2001 // A_PAGE)
    assert first.newest[0].log.finished_at.date() == date(2020, 1, 1) + timedelta(days=2000)
    assert len(page(joinery, "milling", first.pages).newest) == 2001 % A_PAGE
    for beyond in (0, first.pages + 1):
        with pytest.raises(NotFound):
            page(joinery, "milling", beyond)


def test_what_is_foretold_rests_on_the_logs(joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", [70.0] * 8, quantity=3, pattern=1)
    found = known(joinery, "glue-up")
    assert foretell(found, 3, 1).sentence.startswith("8 logged, 8 of this pattern, scaled by joints: half")
    assert foretell(found, 3, 2).sentence.startswith("untested: 8 logged, none of this pattern")
    assert foretell(found, 3).sentence.startswith("8 logged, scaled by joints")
    small, large = foretell(found, 2, 1), foretell(found, 8, 1)
    assert small.range.p90 < large.range.p50
    assert small.machine is None


def test_no_such_kind(joinery: Joinery) -> None:
    with pytest.raises(NotFound):
        known_kind(learned(joinery.store, NOW), 99)


def test_a_wild_time_is_marked(joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", [58, 60, 63, 61, 59, 62, 60, 58, 61, 660])
    marks = [line.believed for line in page(joinery, "glue-up").newest]
    assert marks == ["set aside", *[""] * 9]
    assert page(joinery, "glue-up").months[0].count == 9
