"""Where a quote stands: put out, lapsed, taken once, turned down; what may follow what."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from shoptrack.errors import BadInput, ChangedMeanwhile, Refused
from shoptrack.flows.quoting import answers, drafts
from shoptrack.store.jobs import open_jobs
from shoptrack.store.quotes import quote_row, standing_on
from tests.flows.quoting.shop import kept, made, out, row_of, tray
from tests.joinery import NOW, PIET, UNA, Joinery

TODAY = date(2026, 11, 25)
LAST = date(2026, 12, 25)
AFTER = NOW + timedelta(days=31)


def standing(joinery: Joinery, quote: int, on: date = TODAY) -> str:
    with joinery.store.reading() as session:
        return standing_on(quote_row(session, quote), on)


def test_out_for_as_long_as_its_terms_say(joinery: Joinery, wood: int) -> None:
    """Thirty days from today, the last one included; after that it has lapsed."""
    quote = out(joinery, tray(joinery, wood))
    row = row_of(joinery, quote)
    assert (row["out_at"], row["valid_until_on"]) == (NOW, LAST)
    assert standing(joinery, quote, LAST) == "out"
    assert standing(joinery, quote, LAST + timedelta(days=1)) == "lapsed"


def test_out_until_a_day_that_was_said(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    answers.put_out(joinery.store, quote, 1, UNA, NOW, TODAY)
    assert standing(joinery, quote) == "out"
    for day in (TODAY - timedelta(days=1), date(2050, 1, 1)):
        with pytest.raises(BadInput) as refused:
            answers.put_out(joinery.store, quote, 1, UNA, NOW, day)
        assert refused.value.field == "valid_until"


def test_put_out_twice_is_out_once(joinery: Joinery, wood: int) -> None:
    """A day later a second tap changes neither when it went out nor its last day; a day that is said does."""
    quote, later = out(joinery, tray(joinery, wood)), NOW + timedelta(days=1)
    answers.put_out(joinery.store, quote, 1, PIET, later)
    assert (row_of(joinery, quote)["out_at"], row_of(joinery, quote)["valid_until_on"]) == (NOW, LAST)
    answers.put_out(joinery.store, quote, 1, PIET, later, date(2027, 1, 10))
    assert (row_of(joinery, quote)["out_at"], row_of(joinery, quote)["valid_until_on"]) == (
        NOW,
        date(2027, 1, 10),
    )


def test_a_lapsed_one_goes_out_again_at_its_old_price(joinery: Joinery, wood: int) -> None:
    quote = out(joinery, tray(joinery, wood))
    before = kept(joinery, quote)
    with pytest.raises(Refused, match="has lapsed"):
        answers.take(joinery.store, quote, 1, UNA, AFTER)
    answers.put_out(joinery.store, quote, 1, UNA, AFTER)
    assert row_of(joinery, quote)["valid_until_on"] == date(2027, 1, 25)
    assert kept(joinery, quote) == before
    assert answers.take(joinery.store, quote, 1, UNA, AFTER)


def test_a_double_tap_makes_one_job(joinery: Joinery, wood: int) -> None:
    quote = out(joinery, tray(joinery, wood))
    taken = [answers.take(joinery.store, quote, 1, UNA, NOW, date(2026, 12, 20), True) for _ in range(2)]
    assert taken[0] == taken[1]
    with joinery.store.reading() as session:
        (job,) = open_jobs(session)
        assert (job.id, job.promised_on, job.must_keep) == (taken[0], date(2026, 12, 20), True)
    row = row_of(joinery, quote)
    assert (row["standing"], row["job_id"], row["answered_at"]) == ("taken", job.id, NOW)


def test_four_taps_at_once_make_one_job(joinery: Joinery, wood: int) -> None:
    quote = out(joinery, tray(joinery, wood))
    with ThreadPoolExecutor(4) as hands:
        found = list(hands.map(lambda _: answers.take(joinery.store, quote, 1, UNA, NOW), range(4)))
    assert len(set(found)) == 1
    with joinery.store.reading() as session:
        assert len(open_jobs(session)) == 1


def test_a_draft_is_not_taken(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    with pytest.raises(Refused, match="put it out first"):
        answers.take(joinery.store, quote, 1, UNA, NOW)
    with joinery.store.reading() as session:
        assert open_jobs(session) == []


def test_what_was_changed_meanwhile_is_looked_at_first(joinery: Joinery, wood: int) -> None:
    quote = out(joinery, tray(joinery, wood))
    drafts.revise(joinery.store, quote, 1, tray(joinery, wood, pieces=3), UNA, NOW)
    with pytest.raises(ChangedMeanwhile, match="newer revision, number 2"):
        answers.put_out(joinery.store, quote, 1, UNA, NOW)
    with pytest.raises(ChangedMeanwhile):
        answers.take(joinery.store, quote, 1, UNA, NOW)
    answers.put_out(joinery.store, quote, 2, UNA, NOW)
    answers.take(joinery.store, quote, 2, UNA, NOW)


def test_turned_down_with_a_reason_for_good(joinery: Joinery, wood: int) -> None:
    """Said again it changes nothing, and nothing follows it; a draft may be turned down by phone.

    Another reason, from another page, is told that it came too late.
    """
    quote = made(joinery, tray(joinery, wood))
    answers.turn_down(joinery.store, quote, 1, " too dear ", UNA, NOW)
    answers.turn_down(joinery.store, quote, 1, "too dear", UNA, NOW + timedelta(days=1))
    with pytest.raises(Refused, match="was turned down"):
        answers.turn_down(joinery.store, quote, 1, "too late", UNA, NOW + timedelta(days=1))
    row = row_of(joinery, quote)
    assert (row["standing"], row["turned_down_why"], row["answered_at"]) == ("turned down", "too dear", NOW)
    with pytest.raises(Refused, match="was turned down"):
        answers.put_out(joinery.store, quote, 1, UNA, NOW)
    with pytest.raises(Refused, match="was turned down"):
        answers.take(joinery.store, quote, 1, UNA, NOW)


def test_a_page_of_an_older_revision_turns_nothing_down(joinery: Joinery, wood: int) -> None:
    """Una has a cheaper revision ready while Piet turns the one down that he looks at."""
    quote = out(joinery, tray(joinery, wood))
    drafts.revise(joinery.store, quote, 1, tray(joinery, wood, pieces=1), UNA, NOW)
    with pytest.raises(ChangedMeanwhile, match="number 2"):
        answers.turn_down(joinery.store, quote, 1, "too dear", PIET, NOW)
    assert row_of(joinery, quote)["standing"] == "draft"


def test_a_taken_one_is_neither_put_out_nor_turned_down(joinery: Joinery, wood: int) -> None:
    quote = out(joinery, tray(joinery, wood))
    answers.take(joinery.store, quote, 1, UNA, NOW)
    with pytest.raises(Refused, match="was taken"):
        answers.put_out(joinery.store, quote, 1, UNA, NOW)
    with pytest.raises(Refused, match="was taken"):
        answers.turn_down(joinery.store, quote, 1, "", UNA, NOW)


def test_nothing_of_a_job_stays_where_it_could_not_be_made(
    joinery: Joinery, wood: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All in one transaction: what fails at its end leaves neither a job nor a taken quote."""
    quote = out(joinery, tray(joinery, wood))

    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("the lights went out")

    monkeypatch.setattr(answers, "edit", fail)
    with pytest.raises(RuntimeError):
        answers.take(joinery.store, quote, 1, UNA, NOW)
    assert standing(joinery, quote) == "out"
    with joinery.store.reading() as session:
        assert open_jobs(session) == []


def test_another_title_meanwhile_is_the_jobs(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    wanted = replace(tray(joinery, wood), title="trays for the inn")
    drafts.revise(joinery.store, quote, 1, wanted, UNA, NOW)
    answers.put_out(joinery.store, quote, 2, UNA, NOW)
    answers.take(joinery.store, quote, 2, UNA, NOW)
    with joinery.store.reading() as session:
        assert [job.title for job in open_jobs(session)] == ["trays for the inn"]


@pytest.mark.parametrize(
    ("out_at", "last", "last_evening"),
    [
        (
            datetime(2026, 10, 21, 3, 30, tzinfo=UTC),
            date(2026, 11, 19),
            datetime(2026, 11, 20, 4, 30, tzinfo=UTC),
        ),
        (
            datetime(2027, 2, 21, 4, 30, tzinfo=UTC),
            date(2027, 3, 22),
            datetime(2027, 3, 23, 3, 30, tzinfo=UTC),
        ),
    ],
    ids=["clocks go back", "clocks go forward"],
)
def test_its_last_day_is_whole_though_the_clocks_change(
    joinery: Joinery, wood: int, out_at: datetime, last: date, last_evening: datetime
) -> None:
    """Out at half past eleven at night for thirty days: at that hour of the last it can still be taken, and
    half an hour after its midnight it can not. New York's clocks: 1 November 2026 and 14 March 2027.
    Source: the zone database (America/New_York).
    """
    quote = made(joinery, tray(joinery, wood))
    answers.put_out(joinery.store, quote, 1, UNA, out_at)
    assert row_of(joinery, quote)["valid_until_on"] == last
    with pytest.raises(Refused, match="has lapsed"):
        answers.take(joinery.store, quote, 1, UNA, last_evening + timedelta(hours=1))
    assert answers.take(joinery.store, quote, 1, UNA, last_evening)
