"""One tap keeps what a stage took, and the next of its line is told on the Bench."""

import pytest
from sqlalchemy import event
from sqlalchemy.engine import Engine

from shoptrack.errors import NotFound, Refused
from shoptrack.flows.bench import bench
from shoptrack.flows.last_times import keep_for_next_time, of, shown_on
from shoptrack.flows.shopfloor import gather
from shoptrack.store.last_times import LastTime
from tests.joinery import NOW, PIET, UNA, Joinery, at


def milled(shop: Joinery, title: str = "a tray") -> dict[str, int]:
    """A tray milled from 9:00 to 10:25, with a board spoiled and one mended on the way."""
    tray = shop.add("tray", title, None, 2)
    shop.tap("start", at("9:00"), tray["milling"], person=PIET)
    shop.tap("spoil", at("9:30"), tray["milling"], person=PIET, count=1, out_of=4, cause="dull edge",
             way_back=tray["milling"])  # fmt: skip
    shop.tap("mend", at("9:40"), tray["milling"], person=PIET, minutes=15, text="crook planed out")
    shop.tap("finish", at("10:25"), tray["milling"], person=PIET)
    return tray


def kept(shop: Joinery, stage: int) -> LastTime:
    own = of(shop.store, [stage])[stage].own
    assert own is not None
    return own


def test_what_the_log_says_is_kept_with_what_was_written(joinery: Joinery) -> None:
    tray = milled(joinery)
    assert keep_for_next_time(joinery.store, tray["milling"], " knives were dull ", PIET, NOW) == tray["job"]
    said = kept(joinery, tray["milling"])
    assert (said.minutes, said.unit, said.who) == (85, "boards", "Piet")
    assert said.trouble == "knives were dull; 1 of 4 spoiled, dull edge; mended, 15 min: crook planed out"


def test_one_more_tap_keeps_it_as_it_is_and_more_words_replace_it(joinery: Joinery) -> None:
    tray = milled(joinery)
    for words in ("", "", "tear-out"):
        keep_for_next_time(joinery.store, tray["milling"], words, PIET, NOW)
    first = kept(joinery, tray["milling"]).trouble
    assert first == "tear-out; 1 of 4 spoiled, dull edge; mended, 15 min: crook planed out"
    keep_for_next_time(joinery.store, tray["milling"], "", None, NOW)
    assert (kept(joinery, tray["milling"]).trouble, kept(joinery, tray["milling"]).who) == (first, "Piet")


def test_the_next_of_the_line_is_told_on_the_bench(joinery: Joinery) -> None:
    tray, following = milled(joinery), joinery.add("tray", "the next tray", None)
    keep_for_next_time(joinery.store, tray["milling"], "tear-out", PIET, NOW)
    view = bench(gather(joinery.store, NOW), UNA, NOW)
    assert view.choices[0].stage.id in (tray["milling"], tray["glue-up"], following["milling"])
    shown = of(joinery.store, [following["milling"]])[following["milling"]]
    assert (shown.may_keep, shown.own) == (True, None)
    assert shown.last is not None
    assert shown.last.trouble.startswith("tear-out")


def test_the_last_tap_of_a_bench_says_what_it_finished(joinery: Joinery) -> None:
    tray = milled(joinery)
    view = bench(gather(joinery.store, NOW), PIET, NOW)
    assert view.last is not None
    assert view.last.finished == (tray["milling"],)
    assert shown_on(joinery.store, view)[tray["milling"]].may_keep


def test_a_bench_asks_once(joinery: Joinery) -> None:
    milled(joinery)
    joinery.add("door", "a door", None)
    view = bench(gather(joinery.store, NOW), PIET, NOW)
    asked: list[str] = []

    def note(conn: object, cursor: object, statement: str, *rest: object) -> None:
        asked.append(statement)

    event.listen(Engine, "before_cursor_execute", note)
    try:
        assert shown_on(joinery.store, view)
    finally:
        event.remove(Engine, "before_cursor_execute", note)
    assert len([s for s in asked if s.startswith("SELECT")]) == 1


def test_what_was_not_done_is_not_kept(joinery: Joinery) -> None:
    tray = joinery.add("tray", "a tray", None)
    with pytest.raises(Refused, match="Nothing was done"):
        keep_for_next_time(joinery.store, tray["milling"], "", UNA, NOW)
    with pytest.raises(NotFound):
        keep_for_next_time(joinery.store, 999, "", UNA, NOW)
