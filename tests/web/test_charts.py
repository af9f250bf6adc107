import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.web import charts
from shoptrack.web.charts import Axis, Chart, Series


def test_names_are_never_lettering_commands() -> None:
    """A name with tags, quotes and a drawing in it reads as it was written; so does what the page carries."""
    name = '<b>“6" × 2” & <script>alert(1)</script> 🪵'
    axis = Axis("", (), 0, 1)
    chart = Chart(name, name, axis, axis, (Series(name, (1.0,), (2.0,), (name,), "points"),))
    said = json.loads(chart.figure)
    assert "<" not in chart.figure
    shown = '&lt;b&gt;“6" × 2” &amp; &lt;script&gt;alert(1)&lt;/script&gt; 🪵'
    assert said["series"][0]["name"] == said["series"][0]["words"][0] == said["name"] == shown
    assert said["series"][0]["x"] == [1.0]


@given(st.floats(0.001, 1e6))
def test_an_axis_of_minutes_holds_all(longest: float) -> None:
    axis = charts.minutes_axis("minutes", longest)
    assert axis.ends >= longest * 0.999999
    assert 2 <= len(axis.ticks) <= 8
    assert axis.ticks[0] == (0, "0 min")


@given(st.lists(st.floats(0.5, 1e5), max_size=9))
def test_an_axis_by_powers_holds_all(found: list[float]) -> None:
    axis = charts.minutes_by_powers("", found)
    assert all(10**axis.begins < minutes < 10**axis.ends for minutes in found)
    assert axis.log


def test_months_without_anything_keep_their_place() -> None:
    months = [date(2025, 11, 1), date(2026, 1, 1), date(2026, 2, 1)]
    assert [charts.month_place(month, months[0]) for month in months] == [0, 2, 3]
    assert charts.month_axis(months).ticks == (
        (0, "Nov 2025"),
        (1, "Dec 2025"),
        (2, "Jan 2026"),
        (3, "Feb 2026"),
    )


def test_ten_years_of_months_are_named_so_that_they_can_be_read() -> None:
    ticks = charts.month_axis([date(2016, 1, 1), date(2025, 12, 1)]).ticks
    assert len(ticks) <= charts.MOST_MONTH_WORDS


@pytest.mark.parametrize(("share", "words"), [(0, "0 %"), (0.004, "0.4 %"), (0.126, "13 %"), (1, "100 %")])
def test_percent(share: float, words: str) -> None:
    assert charts.percent(share) == words


@pytest.mark.parametrize(("longest", "ends"), [(0.17, 0.2), (0.5, 0.5), (0.93, 1.0), (1.0, 1.0)])
def test_shares_end_at_a_plain_one(longest: float, ends: float) -> None:
    assert charts.share_axis("", longest).ends == pytest.approx(ends)


def test_names_are_cut_and_the_first_is_on_top() -> None:
    axis = charts.names_axis(["milling", "n" * 60])
    assert axis.ticks[1][1] == "n" * 23 + "…"
    assert axis.begins > axis.ends
