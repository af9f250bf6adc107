"""The drawings of edges: hours run on one scale, the survival curve, lives along the calendar."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from shoptrack.engine.edge_curve import curve
from shoptrack.engine.edge_life import Life, LifeRange, learn
from shoptrack.engine.shapes import Edge, EdgeKind, EdgeLife, EdgeStands
from shoptrack.flows.tooling.due import DueOf
from shoptrack.flows.tooling.tool_page import Learned, LifeOf
from shoptrack.web.render import Wall
from shoptrack.web.tools_sheet import LivesSheet, curve_sheet, hours_scale, lives_sheet, run_line

NOW = datetime(2026, 11, 25, 18, 24, tzinfo=UTC)
WALL = Wall(zone="America/New_York")
FIT = learn([Life(12.0, True), Life(16.0, True)], 20.0)


def due(age_h: float, left: tuple[float, float, float] | None, usual_h: float = 20.0) -> DueOf:
    stands = EdgeStands(Edge(1, 1, "A"), "fitted", None, age_h, age_h, dull=left is None)
    left_h = None if left is None else LifeRange(*left)
    return DueOf(
        1, "planer", EdgeKind(1, "knives", usual_h), stands, 0.1, left_h, FIT.life_h(), usual_h, 2, 0
    )


def test_what_it_has_run_and_where_such_edges_end_on_one_scale() -> None:
    one = due(10.0, (5.0, 10.0, 30.0))
    scale = hours_scale([one, due(2.0, (1.0, 2.0, 3.0))])
    assert scale.longest_min == 40 * 60
    assert [words for _, words in scale.ticks] == ["0 h", "8 h", "16 h", "24 h", "32 h", "40 h"]
    line = run_line(scale, one)
    assert (line.run_x, line.from_x, line.middle_x, line.to_x, line.usual_x) == (25, 37.5, 50, 100, 50)
    assert (line.words.replace("\N{NO-BREAK SPACE}", " "), line.at_end, line.runs_on) == (
        "10 h",
        False,
        False,
    )


def test_a_dull_edge_has_no_ends_and_a_far_one_runs_off_the_sheet() -> None:
    dull = due(9.0, None)
    far = due(300.0, (10.0, 50.0, 900.0), usual_h=900.0)
    scale = hours_scale([dull, due(5.0, (1.0, 5.0, 9.0)), due(6.0, (1.0, 5.0, 9.0)), far])
    line = run_line(scale, dull)
    assert (line.from_x, line.middle_x, line.to_x, line.runs_on) == (None, None, None, False)
    runs = run_line(scale, far)
    assert (runs.runs_on, runs.to_x, runs.usual_x, runs.at_end) == (True, 100, None, True)


def test_no_edge_has_a_scale_too() -> None:
    assert hours_scale([]).longest_min > 0


def learned(age_h: float | None) -> Learned:
    sharp = None if age_h is None else float(FIT.survival(age_h))
    return Learned(FIT, curve(FIT, 40.0, 41), 20.0, FIT.soon_at_h(), age_h, sharp)


def points(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"([\d.]+) ([\d.]+)", path)]


def test_the_curve_falls_from_all_sharp_in_its_band() -> None:
    sheet = curve_sheet(learned(8.0))
    line, band = points(sheet.path), points(sheet.band)
    assert line[0] == (0, 0)
    assert [y for _, y in line] == sorted(y for _, y in line)
    assert line[-1][0] == 1000, "the curve ends at the end of its scale, 40 h"
    assert len(band) == 2 * len(line), "there and back again"
    assert all(
        high <= low for (_, high), (_, low) in zip(band[: len(line)], band[: len(line) - 1 : -1], strict=True)
    )


def test_the_datum_and_what_the_edge_has_run() -> None:
    sheet = curve_sheet(learned(8.0))
    assert sheet.soon[1] == pytest.approx(20)
    assert sheet.now is not None
    assert sheet.now[0] == pytest.approx(8 / 40 * 100, abs=0.1)
    assert sheet.now[1] == pytest.approx((1 - float(FIT.survival(8.0))) * 100, abs=0.01)
    assert sheet.usual_x == pytest.approx(50, abs=0.1)
    assert curve_sheet(learned(None)).now is None


def life(edge: str, number: int, begun: int | None, ended: int | None, hours: float = 5.0) -> LifeOf:
    """One that began and ended some days ago."""
    from_at, until_at = (None if d is None else NOW - timedelta(days=d) for d in (begun, ended))
    made = EdgeLife(
        1, from_at, until_at, hours, hours, ended is not None, None if ended is None else "found dull"
    )
    return LifeOf(edge, number, made, ())


def drawn(*lives: LifeOf) -> LivesSheet:
    sheet = lives_sheet(lives, NOW, WALL)
    assert sheet is not None
    return sheet


def test_lives_lie_along_the_calendar_a_row_an_edge() -> None:
    sheet = drawn(life("A", 1, 200, 100), life("B", 1, 100, 50), life("A", 2, 50, None, 2.5))
    assert [edge for edge, _ in sheet.rows] == ["A", "B"]
    (first, last), (other,) = (own for _, own in sheet.rows)
    assert [(round(d.x), round(d.to_x)) for d in (first, other, last)] == [(0, 50), (50, 75), (75, 100)]
    assert (first.goes_on, last.goes_on) == (False, True)
    assert [d.words.replace("\N{NO-BREAK SPACE}", " ") for d in (first, last)] == ["5 h", "2.5 h"]


def test_hours_are_written_where_there_is_room() -> None:
    sheet = drawn(life("A", 1, 100, 50), life("A", 2, 50, 40), life("A", 3, 40, 39), life("A", 4, 39, None))
    assert [(d.fits, d.spare) for _, own in sheet.rows for d in own] == [
        (True, False),
        (True, True),
        (False, True),
        (True, False),
    ]


def test_months_are_ticked_by_the_shop_s_own_midnight_and_thinned() -> None:
    sheet = drawn(life("A", 1, 40, None))
    assert [words for _, words in sheet.ticks] == ["Nov"]
    november = datetime(2026, 11, 1, 4, tzinfo=UTC)  # midnight in New York, still on summer time
    assert sheet.ticks[0][0] == pytest.approx(100 * (1 - (NOW - november) / timedelta(days=40)), abs=0.01)
    years = [words for _, words in drawn(life("A", 1, 900, None)).ticks]
    assert years == ["Jul", "Nov", "Mar 25", "Jul", "Nov", "Mar 26", "Jul", "Nov"]


def test_a_life_of_which_nobody_said_when_it_began_begins_with_the_first_deed() -> None:
    put_on = NOW - timedelta(days=20)
    known = replace(life("A", 1, None, None), deeds=(put_on,))
    (own,) = (own for _, own in drawn(known, life("B", 1, 40, None)).rows[:1])
    assert own[0].x == pytest.approx(50)
    assert own[0].deeds == (pytest.approx(50),)


def test_no_lives_no_drawing() -> None:
    assert lives_sheet([], NOW, WALL) is None
