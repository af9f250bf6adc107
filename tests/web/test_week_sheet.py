"""Where the hours of a week stand in its drawing."""

from datetime import date

from shoptrack.flows.weeks import week_view
from shoptrack.web.week_sheet import WIDE, draw
from tests.joinery import NOW, BusyDay, Joinery, at


def test_bands_and_lines_on_one_axis(joinery: Joinery, day: BusyDay) -> None:
    sheet = draw(week_view(joinery.store, None, NOW))
    wednesday = sheet.people[0].days[2]
    assert len(wednesday.bands) == 2
    (open_at, noon), (after, closing) = wednesday.bands
    assert 0 < open_at < noon < after < closing < WIDE
    assert all(0 <= line.x <= line.to_x <= WIDE for line in wednesday.lines)
    assert any(line.words for line in wednesday.lines)
    hours = dict((hour, x) for x, hour in sheet.hours)
    assert hours[8] == open_at
    assert noon == hours[12]


def test_words_stand_only_where_they_fit_and_the_axis_reaches_far_enough(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("4:10"), tray["milling"])
    joinery.tap("pause", at("4:12"), tray["milling"])
    sheet = draw(week_view(joinery.store, date(2026, 11, 25), NOW))
    (line,) = sheet.people[0].days[2].lines
    assert line.words == ""
    assert 0 < line.x < line.to_x
    assert line.x <= line.middle <= line.to_x
    assert min(hour for _, hour in sheet.hours) == 4
