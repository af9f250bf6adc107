"""The log as a paper book: every line stays readable, struck or moved."""

from shoptrack.engine.replay import book_lines
from shoptrack.flows.book import BookLine, book_of, lines_of
from shoptrack.flows.shopfloor import gather
from shoptrack.store.tools import make_edge, make_tool
from tests.joinery import NOW, PIET, BusyDay, Joinery, at


def book(joinery: Joinery, job: int) -> dict[str, BookLine]:
    return {line.id: line for line in book_of(gather(joinery.store, NOW), job)}


def test_lines_say_who_when_what(joinery: Joinery, day: BusyDay) -> None:
    lines = list(book(joinery, day.letter["job"]).values())
    assert [line.at for line in lines] == sorted(line.at for line in lines)
    first = lines[0]
    assert (first.person, first.what, first.stages, first.details) == (
        "Piet",
        "start",
        ("inlay",),
        ("insisted",),
    )
    assert next(line.details for line in lines if line.what == "closed") == ("4",)


def test_what_was_done_together_names_the_other_job(joinery: Joinery, day: BusyDay) -> None:
    """Both trays' boards were milled at once."""
    elm = next(iter(book(joinery, day.elm["job"]).values()))
    assert elm.stages == ("milling",)
    assert elm.others == ("C2 milling",)


def test_a_struck_line_stays_with_the_name_of_who_struck_it(joinery: Joinery, day: BusyDay) -> None:
    note = joinery.tap("note", at("13:22"), day.letter["inlay"], text="wrong tray")
    strike = joinery.tap("strike", at("13:23"), person=PIET, of=note)
    lines = book(joinery, day.letter["job"])
    assert (lines[note].struck, lines[note].struck_by, lines[note].text) == (True, "Piet", "wrong tray")
    assert lines[strike].details == ("“Una: note”",)
    assert not lines[strike].moves


def test_a_strike_that_is_struck_gives_the_line_back(joinery: Joinery, day: BusyDay) -> None:
    note = joinery.tap("note", at("13:21"), day.letter["inlay"], text="right after all")
    strike = joinery.tap("strike", at("13:22"), of=note)
    joinery.tap("strike", at("13:23"), of=strike)
    lines = book(joinery, day.letter["job"])
    assert not lines[note].struck
    assert lines[strike].struck


def test_a_moved_line_says_from_when(joinery: Joinery, day: BusyDay) -> None:
    note = joinery.tap("note", at("13:21"), day.letter["inlay"], text="clamp slipped")
    joinery.tap("retime", at("13:23"), of=note, to_at=at("11:30").isoformat())
    line = book(joinery, day.letter["job"])[note]
    assert (line.at, line.first_at) == (at("11:30"), at("13:21"))


def test_details_of_spoil_and_help(joinery: Joinery, day: BusyDay) -> None:
    inlay = day.letter["inlay"]
    spoil = joinery.tap("spoil", at("13:21"), inlay, count=2, out_of=10, way_back=inlay, cause="dull edge")
    given = joinery.tap("help", at("13:22"), inlay, helper=PIET, minutes=10)
    lines = book(joinery, day.letter["job"])
    assert lines[spoil].details == ("2 of 10", "from inlay", "dull edge")
    assert (lines[given].details, lines[given].minutes) == (("by Piet",), 10)


def test_a_job_nobody_touched_has_an_empty_book(joinery: Joinery) -> None:
    assert book(joinery, joinery.add("door", "door", None)["job"]) == {}


def test_what_was_done_to_an_edge_names_tool_and_edge(joinery: Joinery) -> None:
    """It is of no job: it stands in the person's own taps, and so does what strikes it."""
    with joinery.store.writing() as session:
        saw = make_tool(session, "saw blade", kind="blade").id
        red = make_edge(session, saw, "red", at("8:00")).id
    joinery.tap("edge", at("9:00"), tool=saw, edge=red, choice="fitted")
    dull = joinery.tap("edge", at("13:00"), tool=saw, choice="found dull")
    joinery.tap("edge", at("13:05"), tool=saw, choice="meter", minutes=600)
    joinery.tap("strike", at("13:10"), of=dull)
    sight = gather(joinery.store, NOW)
    lines = lines_of(sight.world, book_lines(sight.entries, {}))
    assert [(line.what, line.struck, line.minutes) for line in lines] == [
        ("saw blade, red: put on", False, None),
        ("saw blade: found dull", True, None),
        ("saw blade: hour meter read", False, 600),
        ("struck a line", False, None),
    ]
    assert lines[-1].details == ("“Una: saw blade: found dull”",)
    assert [line.moves for line in lines] == [True, True, True, False]
