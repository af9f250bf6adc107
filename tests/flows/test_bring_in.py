"""A table from the hand to the database: looked through, brought in whole, once."""

import csv
import io
import sqlite3
from collections.abc import Generator
from contextlib import closing
from datetime import timedelta
from typing import Any, TypeVar

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows import bring_in, take_out
from shoptrack.flows.bring_in import SUBJECTS, Brought, bring, hand_in, look, to_the_end
from shoptrack.flows.bring_in_shapes import Look, Progress
from shoptrack.flows.cells import csv_of
from shoptrack.store import shop
from shoptrack.store.db import head
from shoptrack.store.tables import CustomerRow
from tests.joinery import NOW, UNA, BusyDay, Joinery

T = TypeVar("T")
TIMES = SUBJECTS["past-times"]
GOOD = "2026-04-03,tea trays,tray,glue,glue-up,6,joints,85,Una"
HEAD = "finished_on,job,pattern,stage,kind,measure,unit,minutes,person"
TEXT = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=20)


def end_of(work: Generator[Progress, None, T]) -> T:
    while True:
        try:
            next(work)
        except StopIteration as end:
            found: T = end.value
            return found


def handed(joinery: Joinery, *rows: str, head: str = HEAD) -> str:
    return hand_in(joinery.store.instance, TIMES, "\n".join([head, *rows]).encode(), NOW)


def seen(joinery: Joinery, sign: str) -> Look[Any]:
    return to_the_end(look(joinery.store, TIMES, sign, NOW))


def brought(joinery: Joinery, sign: str, refused: int = 0) -> Brought:
    return end_of(bring(joinery.store, TIMES, sign, refused, UNA, NOW))


def count(joinery: Joinery, table: str = "past_times") -> int:
    with closing(sqlite3.connect(joinery.store.path)) as raw:
        return int(raw.execute(f"SELECT count(*) FROM {table}").fetchone()[0])


def test_a_look_writes_nothing(joinery: Joinery) -> None:
    sign = handed(joinery, GOOD, GOOD.replace("85", "x"), GOOD)
    with joinery.store.reading() as session:
        before = head(session)
    found = seen(joinery, sign)
    assert (found.rows, len(found.new), found.already, found.refused) == (3, 2, 0, 1)
    assert [(wrong.row, wrong.column) for wrong in found.wrong] == [(3, "minutes")]
    with joinery.store.reading() as session:
        assert head(session) == before
    assert count(joinery) == 0


def test_bringing_in_writes_all_at_once_and_lets_go_of_the_file(joinery: Joinery) -> None:
    sign = handed(joinery, GOOD, GOOD.replace("85", "x"), GOOD)
    with joinery.store.reading() as session:
        before = head(session)
    assert brought(joinery, sign, refused=1) == Brought(2, 0, 1)
    assert count(joinery) == 2
    with joinery.store.reading() as session:
        assert head(session).revision == before.revision + 1
    with pytest.raises(NotFound):
        brought(joinery, sign)


def test_the_same_file_again_changes_nothing(joinery: Joinery) -> None:
    assert brought(joinery, handed(joinery, GOOD, GOOD)) == Brought(2, 0, 0)
    with joinery.store.reading() as session:
        before = head(session)
    again = handed(joinery, GOOD, GOOD)
    assert (len(seen(joinery, again).new), seen(joinery, again).already) == (0, 2)
    assert brought(joinery, again) == Brought(0, 2, 0)
    with joinery.store.reading() as session:
        assert head(session) == before


def test_a_larger_file_brings_only_what_is_new(joinery: Joinery) -> None:
    brought(joinery, handed(joinery, GOOD))
    assert brought(joinery, handed(joinery, GOOD, GOOD.replace("85", "90"), GOOD)) == Brought(2, 1, 0)


def test_a_kind_put_away_after_the_look_is_still_known(joinery: Joinery) -> None:
    sign = handed(joinery, GOOD)
    with joinery.store.writing() as session:
        kind = next(row for row in shop.list_kinds(session) if row.name == "glue-up")
        kind.retired_at = NOW
    assert brought(joinery, sign) == Brought(1, 0, 0)


def test_what_was_refused_otherwise_than_shown_is_not_brought_in(joinery: Joinery) -> None:
    """The kind was renamed after the look: nothing comes in, the person looks again."""
    sign = handed(joinery, GOOD)
    assert seen(joinery, sign).refused == 0
    with joinery.store.writing() as session:
        next(row for row in shop.list_kinds(session) if row.name == "glue-up").name = "gluing"
    with pytest.raises(Refused, match="look at the rows again"):
        brought(joinery, sign)
    assert count(joinery) == 0


def test_the_same_file_from_two_tabs_at_once_comes_in_once(joinery: Joinery) -> None:
    """Both have looked through it before either writes; the second looks again when its turn comes."""
    sign = handed(joinery, GOOD)
    first, second = (bring(joinery.store, TIMES, sign, 0, UNA, NOW) for _ in range(2))
    next(first)
    next(second)
    assert end_of(first) == Brought(1, 0, 0)
    assert end_of(second) == Brought(0, 1, 0)
    assert count(joinery) == 1


def test_what_breaks_off_while_writing_leaves_nothing(
    joinery: Joinery, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Customers are written one after another; the disk is full at the last."""
    text = "name,phone\nOdile Marr,1\nTom Fell,2\n"
    customers = SUBJECTS["customers"]
    sign = hand_in(joinery.store.instance, customers, text.encode(), NOW)
    made, before = CustomerRow.__init__, count(joinery, "edits")

    def full(row: CustomerRow, **said: str) -> None:
        if said["name"] == "Tom Fell":
            raise OSError("disk full")
        made(row, **said)

    monkeypatch.setattr(CustomerRow, "__init__", full)
    with pytest.raises(OSError, match="disk full"):
        end_of(bring(joinery.store, customers, sign, 0, UNA, NOW))
    assert (count(joinery, "customers"), count(joinery, "edits")) == (0, before)
    assert bring_in.kept.read(joinery.store.instance, sign)  # still there, to be tried again


def test_somebody_who_goes_away_during_the_look_brings_nothing_in(joinery: Joinery) -> None:
    work = bring(joinery.store, TIMES, handed(joinery, *[GOOD] * 6000), 0, UNA, NOW)
    assert [next(work).done, next(work).done] == [0, 2500]
    work.close()
    assert count(joinery) == 0


def test_how_far_it_is_is_told(joinery: Joinery) -> None:
    steps = list(look(joinery.store, TIMES, handed(joinery, *[GOOD] * 6000), NOW))
    assert [step.done for step in steps] == [0, 2500, 5000, 6000]
    assert {step.rows for step in steps} == {6000}


def test_the_queries_do_not_grow_with_the_rows(joinery: Joinery) -> None:
    """Six thousand rows are written by the statements that write sixty."""
    asked: list[str] = []
    counts = []
    for rows in (60, 6000):
        sign = handed(joinery, *(GOOD.replace("85", f"{n % 500 + 1}.{rows + 1}") for n in range(rows)))
        with joinery.store.writing() as session:
            session.connection().connection.driver_connection.set_trace_callback(  # type: ignore[union-attr]
                lambda said: None if "INSERT" in said else asked.append(said)
            )
        asked.clear()
        assert brought(joinery, sign).new == rows
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_columns_nobody_asked_for_are_named(joinery: Joinery) -> None:
    named = ",".join(f"own {n}" for n in range(14))
    found = seen(joinery, handed(joinery, GOOD, head=f"{HEAD},{named}"))
    assert found.notes[0].startswith("These columns are not known and left out: “own 0”")
    assert found.notes[0].endswith("“own 11” and others.")


def test_letters_of_an_older_file_are_told_of(joinery: Joinery) -> None:
    data = f"{HEAD}\n{GOOD.replace('Una', 'Zoë')}".encode("cp1252")
    found = seen(joinery, hand_in(joinery.store.instance, TIMES, data, NOW))
    assert (found.new[0].person, "Windows-1252" in found.notes[0]) == ("Zoë", True)


@pytest.mark.parametrize("data", [b"", b"\x00", b"PK\x03\x04", b"a,b\n1,2", HEAD.encode(), b'kind\n"x'])
def test_what_is_no_table_is_not_kept(joinery: Joinery, data: bytes) -> None:
    with pytest.raises(BadInput):
        hand_in(joinery.store.instance, TIMES, data, NOW)
    assert not (joinery.store.instance / "incoming").exists()


def test_a_shop_that_is_not_set_up_reckons_by_utc(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        session.delete(shop.shop_row(session))
    with joinery.store.reading() as session:
        assert bring_in.ways_of(session, NOW + timedelta(hours=6)).today.isoformat() == "2026-11-26"


def test_the_times_taken_out_come_in_again_as_they_were(joinery: Joinery, day: BusyDay) -> None:
    """Logged times and one from before; in a shop that lost them all, the same list is taken out again."""
    brought(joinery, handed(joinery, GOOD.replace("tea trays", "=trays 🪵")))
    out = b"".join(take_out.list_csv(joinery.store, "times", NOW))
    assert b"'=trays" in out
    sign = hand_in(joinery.store.instance, TIMES, out, NOW)
    assert (len(seen(joinery, sign).new), seen(joinery, sign).refused) == (0, 0)
    with closing(sqlite3.connect(joinery.store.path)) as raw, raw:
        raw.execute("DELETE FROM tally")
        raw.execute("DELETE FROM past_times")
    assert brought(joinery, sign).already == 0
    again = b"".join(take_out.list_csv(joinery.store, "times", NOW))
    assert sorted(again.splitlines()) == sorted(out.splitlines())


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.tuples(TEXT, TEXT, TEXT, TEXT), st.floats(1e-6, 1e6), st.sampled_from([",", ";", "\t"]))
def test_any_text_and_number_comes_back_through_a_file(
    joinery: Joinery, texts: tuple[str, str, str, str], number: float, delimiter: str
) -> None:
    """Brought in, taken out, saved by another program in its own way, and brought in: known again."""
    with closing(sqlite3.connect(joinery.store.path)) as raw, raw:
        raw.execute("DELETE FROM past_times")
    job, pattern, stage, person = texts
    row = ("2026-04-03", job, pattern, "s" + stage, "glue-up", number, "joints", min(number, 999.0), person)
    data = b"".join(csv_of(HEAD.split(","), [row]))
    assert brought(joinery, hand_in(joinery.store.instance, TIMES, data, NOW)).new == 1
    out = b"".join(take_out.list_csv(joinery.store, "times", NOW)).decode("utf-8-sig")
    table = list(csv.reader(io.StringIO(out, newline="")))
    other = io.StringIO(newline="")
    mark = "." if delimiter == "," else ","
    for line in table[1:]:
        line[5], line[7] = line[5].replace(".", mark), line[7].replace(".", mark)
    csv.writer(other, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(table)
    assert brought(
        joinery, hand_in(joinery.store.instance, TIMES, other.getvalue().encode("utf-16"), NOW)
    ) == (Brought(0, 1, 0))
