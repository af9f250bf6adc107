"""The day that can be promised for a quote follows what is on the floor, and stays as it was kept."""

from datetime import date, timedelta

import numpy as np
import pytest

from shoptrack.errors import NotFound, Refused
from shoptrack.flows.planning import promised
from shoptrack.flows.planning.promise_asked import ANSWER_DAYS, question
from shoptrack.flows.planning.promised import again, promise_of_quote, reckon
from shoptrack.store.quotes import quote_row
from shoptrack.store.shop import shop_row
from tests.flows.quoting.shop import made, out, price_all, tray
from tests.joinery import NOW, Joinery

TODAY = date(2026, 11, 25)


@pytest.fixture
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def revision_of(joinery: Joinery, quote: int) -> int:
    with joinery.store.reading() as session:
        return quote_row(session, quote).revisions[-1].id


def test_an_empty_floor_promises_a_few_days_after_the_answer(joinery: Joinery, wood: int) -> None:
    """Trays take some days of glue and oil; nothing of them begins before the answer has to be there."""
    quote = made(joinery, tray(joinery, wood))
    found = reckon(joinery.store, quote, NOW)
    assert found.counted_on == TODAY + timedelta(days=ANSWER_DAYS)
    assert found.p50_on is not None
    assert found.p80_on is not None
    assert found.p90_on is not None
    assert found.counted_on < found.p50_on <= found.p80_on <= found.p90_on < TODAY + timedelta(days=40)
    assert found.chance_by(found.counted_on) == 0.0
    assert found.chance_by(found.p80_on) >= 0.8
    assert found.chance_by(found.p80_on - timedelta(days=1)) < 0.8
    assert found.chance_by(date(2028, 1, 1)) == 1.0
    assert found.hangs_on
    assert (found.weighed, found.suffers, found.untold) == (0, (), ())


def test_a_full_floor_promises_later(joinery: Joinery, wood: int) -> None:
    """Ten lots of trays in the way: the same quote's day is later, and theirs are as sure as they were."""
    early = reckon(joinery.store, made(joinery, tray(joinery, wood)), NOW).p80_on
    for n in range(10):
        joinery.add("tray", f"tray {n}", date(2026, 12, 31), pieces=4)
    late = reckon(joinery.store, made(joinery, tray(joinery, wood), "g" * 32), NOW)
    assert early is not None
    assert late.p80_on is not None
    assert late.p80_on > early + timedelta(days=2)
    assert all(each.before - each.after > 0.05 for each in late.suffers)


def test_what_is_kept_stands(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    revision = revision_of(joinery, quote)
    with joinery.store.reading() as session:
        assert promise_of_quote(session, revision) is None
    found = reckon(joinery.store, quote, NOW)
    for n in range(5):
        joinery.add("tray", f"tray {n}", date(2026, 12, 31), pieces=4)
    assert reckon(joinery.store, quote, NOW + timedelta(days=3)) == found
    with joinery.store.reading() as session:
        assert promise_of_quote(session, revision) == found


def test_the_same_again_from_what_was_kept(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    asked = question(joinery.store, quote, NOW)
    reckon(joinery.store, quote, NOW)
    joinery.add("tray", "one more", date(2026, 12, 1))
    with joinery.store.reading() as session:
        rebuilt = again(session, revision_of(joinery, quote))
        assert again(session, 9999) is None
    assert rebuilt is not None
    assert np.array_equal(rebuilt.ready, promised.look_ahead(asked.with_it).ready)


def test_other_versions_do_not_find_it_again(
    joinery: Joinery, wood: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    quote = made(joinery, tray(joinery, wood))
    reckon(joinery.store, quote, NOW)
    monkeypatch.setattr(promised, "versions", lambda: "other ones")
    with joinery.store.reading() as session, pytest.raises(Refused, match="stands"):
        again(session, revision_of(joinery, quote))


def test_quotes_that_are_out_count_where_the_shop_says_so(joinery: Joinery, wood: int) -> None:
    for n in range(4):
        out(joinery, tray(joinery, wood, pieces=30), f"{n}" * 32)
    off = reckon(joinery.store, made(joinery, tray(joinery, wood), "a" * 32), NOW)
    with joinery.store.writing() as session:
        shop_row(session).weigh_quotes_bp = 10_000
    on = reckon(joinery.store, made(joinery, tray(joinery, wood), "b" * 32), NOW)
    assert (off.weighed, on.weighed) == (0, 4)
    assert off.p80_on is not None
    assert on.p80_on is None or on.p80_on >= off.p80_on


def test_what_can_never_be_done_has_no_date_and_says_why(joinery: Joinery, wood: int) -> None:
    """Twenty panels glued in one go take longer than anybody's morning."""
    found = reckon(joinery.store, made(joinery, tray(joinery, wood, pieces=20)), NOW)
    assert (found.p50_on, found.p80_on) == (None, None)
    assert any("glue-up" in each and "without a pause" in each for each in found.untold)


def test_no_such_quote(joinery: Joinery) -> None:
    with pytest.raises(NotFound):
        reckon(joinery.store, 99, NOW)
