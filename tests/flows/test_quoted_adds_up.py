"""Hours by what was quoted and by what they cost are the same, whatever became of the job meanwhile."""

from dataclasses import replace

import pytest

from shoptrack.flows import foretold, job_stages, patterns
from shoptrack.flows.job_change import call_off
from shoptrack.flows.job_money import Reckoning, reckon
from shoptrack.flows.jobs import set_closed
from shoptrack.flows.quoted_against import Against
from shoptrack.flows.quoting import answers, drafts
from shoptrack.flows.quoting.wanted import Wanted
from shoptrack.flows.shopfloor import gather_job
from shoptrack.store import extras, logs
from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from shoptrack.store.pattern_stages import stages_of
from shoptrack.store.patterns import revise_pattern
from shoptrack.store.rates import set_rate
from shoptrack.store.shop import every_kind
from shoptrack.store.spoiled import first_and_again_min
from shoptrack.store.tables import PatternRevisionRow
from tests.flows.test_quoted_against import QUOTED_AT, against, record, taken, work
from tests.joinery import LONG_AGO, NOW, PIET, Joinery, at


@pytest.fixture
def shop(joinery: Joinery) -> Joinery:
    """The small shop, an hour of hands at 60."""
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=6_000, from_on=LONG_AGO.date(), who=None, now=LONG_AGO)
    return joinery


def hands_by_money(shop: Joinery, job: int) -> Reckoning:
    sight = gather_job(shop.store, job, NOW)
    with shop.store.reading() as session:
        return reckon(session, sight, job)


def adds_up(shop: Joinery, job: int) -> Against:
    """The job is closed, and its hours are the same by what was quoted and by what it cost."""
    set_closed(shop.store, job, True, None, NOW)
    found, money = against(shop, job), hands_by_money(shop, job)
    assert found is not None
    assert found.took_min == pytest.approx(money.hands_min)
    assert sum(stage.took_min or 0.0 for stage in found.stages) == pytest.approx(money.hands_min)
    assert found.spent_cents == money.spent_cents + money.mends_cents
    return found


def test_mends_and_help_count_wherever_they_are_and_whatever_was_taken_out(shop: Joinery) -> None:
    """Frame 60 and 20 of help and 12 of mending, a mend of 7 and 9 of help at stages nobody began; all three
    stages are taken out of the job afterwards. A mend of 4.50 is money spent.
    """
    door = taken(shop)
    work(shop, door["frame"], 60, at("8:00", -2))
    shop.tap("mend", at("9:10", -2), door["frame"], minutes=12, cents=450)
    shop.tap("help", at("9:15", -2), door["frame"], helper=PIET, minutes=20)
    shop.tap("mend", at("9:20", -2), door["panel stock"], minutes=7)
    shop.tap("help", at("9:21", -2), door["put together"], helper=PIET, minutes=9)
    for name in ("frame", "panel stock", "put together"):
        job_stages.take_out(shop.store, door["job"], door[name], None, NOW, "the door is bought")
    found = adds_up(shop, door["job"])
    assert {s.name: s.took_min and round(s.took_min) for s in found.stages} == {
        "frame": 92, "panel stock": 7, "panel glue-up": None, "put together": 9,
    }  # fmt: skip
    assert found.spent_cents == 450


def test_work_done_again_counts_and_teaches_once(shop: Joinery) -> None:
    """A frame in an hour is spoiled as the door is put together, and made again in 25 minutes: 85 against
    the quote, one time of 60 that teaches, 25 of 60 minutes of milling done again, nothing more foretold."""
    door = taken(shop)
    work(shop, door["frame"], 60, at("8:00", -2))
    shop.tap("start", at("13:00", -2), door["put together"], insisted=True)
    shop.tap(
        "spoil",
        at("13:10", -2),
        door["put together"],
        count=1,
        out_of=2,
        way_back=door["frame"],
        cause="wood",
    )
    shop.tap("pause", at("13:10", -2), door["put together"])
    work(shop, door["frame"], 25, at("14:00", -2))
    foretold.settle(shop.store, NOW)
    with shop.store.reading() as session:
        assert [(t.name, t.hands_min, t.quantity) for t in logs.logged(session)] == [("frame", 60, 4)]
        assert [(t.stage, t.minutes) for t in foretold.track(session)] == [("frame", 60)]
        again = first_and_again_min(session, LONG_AGO)
    assert list(again[shop.kinds["milling"]]) == pytest.approx([60, 25])
    found = adds_up(shop, door["job"])
    assert {s.name: s.took_min for s in found.stages}["frame"] == pytest.approx(85)


def test_a_job_taken_from_an_old_revision_is_held_against_what_was_quoted(shop: Joinery) -> None:
    """The pattern is copied, revised and retired and its kind renamed and retired before the quote is taken:
    the job has the stages that were quoted, and they meet them; mostly it was “sawing”."""
    quote = drafts.make(
        shop.store, Wanted("Odile Marr", "door", revision=shop.revisions["door"]), "old", None, QUOTED_AT
    )
    answers.put_out(shop.store, quote, 1, None, QUOTED_AT)
    with shop.store.writing() as session:
        pattern = session.get_one(PatternRevisionRow, shop.revisions["door"]).pattern_id
        first = stages_of(session, shop.revisions["door"])[0]
        revise_pattern(session, pattern, stages=[replace(first, name="stiles", per_piece=40)], now=QUOTED_AT)
        milling = every_kind(session)[shop.kinds["milling"]]
        edit(session, milling, None, QUOTED_AT, name="sawing", retired_at=QUOTED_AT)
    patterns.copy(shop.store, pattern, "narrow door", None, QUOTED_AT)
    patterns.set_retired(shop.store, pattern, True, None, QUOTED_AT)
    job = answers.take(shop.store, quote, 1, None, QUOTED_AT)
    with shop.store.reading() as session:
        own = {stage.name: stage.id for stage in job_row(session, job).stages}
    assert list(own) == ["frame", "panel stock", "panel glue-up", "put together"]
    work(shop, own["frame"], 600, at("8:00", -4))
    found = adds_up(shop, job)
    assert next(s for s in found.stages if s.name == "frame").quoted is not None
    again = record(shop)
    assert again is not None
    assert again.mostly == "sawing"


def test_reopened_dearer_called_off_and_closed_again(shop: Joinery) -> None:
    """Only while it is closed it counts; it brought its price by now and the extra that was approved."""
    door = taken(shop)
    work(shop, door["frame"], 60, at("8:00", -2))
    shop.tap("start", at("8:00"), door["panel stock"])
    assert adds_up(shop, door["job"]).took_min > 60
    set_closed(shop.store, door["job"], False, None, NOW)
    assert (against(shop, door["job"]), record(shop)) == (None, None)
    with shop.store.writing() as session:
        edit(session, job_row(session, door["job"]), None, NOW, price_cents=123_456)
        for number in (1, 2):
            extras.add_extra(
                session, door["job"], number=number, words="hinges", cents=2_000, asked_on=NOW.date(),
                who=None, now=NOW,
            )  # fmt: skip
        extras.approve(session, door["job"], 1, NOW.date(), "", None, NOW)
    assert adds_up(shop, door["job"]).earned_cents == 125_456
    set_closed(shop.store, door["job"], False, None, NOW)
    call_off(shop.store, door["job"], "moved away", None, NOW)
    assert (against(shop, door["job"]), record(shop)) == (None, None)
