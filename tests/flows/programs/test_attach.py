"""A program attached to a stage: what the stage says by it, and what is kept where something is wrong."""

import pytest
from sqlalchemy import func, select

from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows.job_stages import take_out
from shoptrack.flows.programs import attach as flow
from shoptrack.flows.programs.attach import Sent, fingerprint_of
from shoptrack.store.edits import history
from shoptrack.store.inspection import replay_check
from shoptrack.store.jobs import close_job
from shoptrack.store.programs import program
from shoptrack.store.tables import ProgramRow, ProgramToolRow, RouterToolRow, ToolRow
from tests.flows.programs.shop import BAD, ONE_BIT, TWO_BITS, Router, on_disk, to_the_end
from tests.joinery import NOW, UNA, at

MINUTES = 1 + 3 + 500 / 5000 + 0.5 + 2
"""Of TWO_BITS by hand: two cuts, the rapid at the starting rate, the dwell, two changes of a minute."""


def count(router: Router, table: type[ProgramRow] | type[ProgramToolRow]) -> int:
    with router.store.reading() as session:
        return session.scalar(select(func.count()).select_from(table)) or 0


def same_as_log(router: Router) -> None:
    with router.store.reading() as session:
        assert replay_check(session, NOW) == []


def test_a_program_gives_the_stage_its_measure_and_its_hands(router: Router) -> None:
    made = router.attach(router.routing)
    row = router.row(router.routing)
    assert row.quantity == pytest.approx(MINUTES, abs=0.005)
    # the first change is at the start, where somebody is anyway; the second after a minute's cut and 500 mm
    assert row.hands_at_min == [pytest.approx(1 + 1 + 0.1, abs=0.01)]
    with router.store.reading() as session:
        kept = program(session, router.job, made).read
        assert kept.total_min == pytest.approx(MINUTES)
        assert [(use.number, use.label, use.cutting_min) for use in kept.tools] == [
            (1, "quarter upcut", pytest.approx(1.0)),
            (2, "V-bit", pytest.approx(3.0)),
        ]
    same_as_log(router)


def test_what_is_measured_otherwise_keeps_its_measure(router: Router) -> None:
    before = router.row(router.carving).quantity
    router.attach(router.carving)
    assert router.row(router.carving).quantity == before


def test_tools_are_matched_once_and_the_next_time_by_themselves(router: Router) -> None:
    made = router.attach(router.routing)
    assert router.tools(router.routing) == {router.vee: 0.5}, "nothing is known of it yet"
    flow.match(router.store, router.job, made, {1: router.upcut, 2: router.vee}, UNA, NOW)
    shares = {
        router.upcut: pytest.approx(1 / MINUTES, abs=1e-4),
        router.vee: pytest.approx(3 / MINUTES, abs=1e-4),
    }
    assert router.tools(router.routing) == shares
    router.attach(router.carving)
    assert router.tools(router.carving) == shares
    same_as_log(router)


def test_a_number_with_another_label_is_not_guessed(router: Router) -> None:
    made = router.attach(router.routing)
    flow.match(router.store, router.job, made, {1: router.upcut, 2: router.vee}, UNA, NOW)
    other = router.attach(router.carving, TWO_BITS.replace(b"V-bit", b"ball nose"))
    with router.store.reading() as session:
        assert [use.tool for use in program(session, router.job, other).read.tools] == [router.upcut, None]


def test_a_match_can_be_changed_and_forgotten(router: Router) -> None:
    made = router.attach(router.routing)
    flow.match(router.store, router.job, made, {1: router.upcut, 2: router.upcut}, UNA, NOW)
    assert router.tools(router.routing) == {router.upcut: pytest.approx(4 / MINUTES, abs=1e-4)}
    flow.match(router.store, router.job, made, {1: None, 2: router.vee}, UNA, NOW)
    assert router.tools(router.routing) == {router.vee: pytest.approx(3 / MINUTES, abs=1e-4)}
    with router.store.reading() as session:
        known = {(row.number, row.tool_id) for row in session.scalars(select(RouterToolRow))}
        assert known == {(2, router.vee)}
        told = {(line.field, line.before, line.after) for line in history(session, "programs", made)}
    assert ("tool 1", "quarter upcut", None) in told


def test_a_retired_tool_is_refused_beside_its_field(router: Router) -> None:
    made = router.attach(router.routing)
    with router.store.writing() as session:
        session.get_one(ToolRow, router.vee).retired_at = NOW
    for tool in (router.vee, 999):
        with pytest.raises(BadInput, match="not there any more") as wrong:
            flow.match(router.store, router.job, made, {2: tool}, UNA, NOW)
        assert wrong.value.field == "tool-2"


def test_taken_off_the_stage_says_what_it_said_before(router: Router) -> None:
    before = router.row(router.routing)
    made = router.attach(router.routing)
    flow.match(router.store, router.job, made, {1: router.upcut, 2: router.vee}, UNA, NOW)
    for _ in range(2):  # the button is tapped twice
        flow.remove(router.store, router.job, made, UNA, NOW)
    after = router.row(router.routing)
    assert (after.quantity, after.hands_at_min) == (before.quantity, before.hands_at_min)
    assert router.tools(router.routing) == {router.vee: 0.5}
    with pytest.raises(Refused, match="removed"):
        flow.run_times(router.store, router.job, made, 2, UNA, NOW)
    assert router.attach(router.routing) != made, "it may be attached again"
    same_as_log(router)


def test_two_programs_of_one_stage_add_up_whichever_goes_first(router: Router) -> None:
    first = router.attach(router.routing)
    second = router.attach(router.routing, ONE_BIT)
    one = MINUTES - 1  # the same without the second change
    assert router.row(router.routing).quantity == pytest.approx(MINUTES + one, abs=0.01)
    flow.remove(router.store, router.job, first, UNA, NOW)
    assert router.row(router.routing).quantity == pytest.approx(one, abs=0.01)
    flow.remove(router.store, router.job, second, UNA, NOW)
    assert router.row(router.routing).quantity == 20.0


def test_it_is_run_for_each_piece(router: Router) -> None:
    made = router.attach(router.routing, times=3)
    assert router.row(router.routing).quantity == pytest.approx(3 * MINUTES, abs=0.01)
    hands = router.row(router.routing).hands_at_min
    again = [2.1, MINUTES, MINUTES + 2.1, 2 * MINUTES, 2 * MINUTES + 2.1]
    assert hands == [pytest.approx(minute, abs=0.02) for minute in again]
    flow.run_times(router.store, router.job, made, 1, UNA, NOW)
    assert router.row(router.routing).quantity == pytest.approx(MINUTES, abs=0.01)


def test_the_same_file_is_attached_once(router: Router) -> None:
    router.attach(router.routing)
    with pytest.raises(BadInput, match="attached to the stage already") as wrong:
        router.attach(router.routing, name="renamed.nc")
    assert wrong.value.field == "file"
    assert count(router, ProgramRow) == 1
    router.attach(router.carving)  # of another stage it is another program


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (BAD, "Line 4"),
        (b"(only words)\nM30\n", "not one cut"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x01", "Line 1"),
        (b"G1" + b" " * 100_000 + b"X1", "Line 1"),
    ],
)
def test_of_a_bad_file_nothing_is_kept(router: Router, data: bytes, says: str) -> None:
    before = router.row(router.routing)
    with pytest.raises(BadInput, match=says) as wrong:
        router.attach(router.routing, data)
    assert wrong.value.field == "file"
    assert count(router, ProgramRow) == count(router, ProgramToolRow) == 0
    assert router.row(router.routing).quantity == before.quantity


def test_lines_may_end_either_way(router: Router) -> None:
    router.attach(router.routing, TWO_BITS.replace(b"\n", b"\r\n"))
    assert router.row(router.routing).quantity == pytest.approx(MINUTES, abs=0.005)


def test_somebody_else_attached_it_while_it_was_read(router: Router) -> None:
    """Two send the same file at once: it is kept once, the second is told."""
    slow = flow.attach(router.store, router.job, router.routing, Sent(on_disk(big()), "a.nc"), UNA, NOW)
    next(slow)
    router.attach(router.routing, big())
    with pytest.raises(BadInput, match="already"):
        for _ in slow:
            pass
    assert count(router, ProgramRow) == 1


def test_the_measure_that_somebody_wrote_over_stays(router: Router) -> None:
    from tests.flows.test_job_stages import say

    made = router.attach(router.routing)
    say(router.store, router.job, router.routing, quantity=33.0)
    router.attach(router.routing, ONE_BIT)
    assert router.row(router.routing).quantity == 33.0
    flow.remove(router.store, router.job, made, UNA, NOW)
    assert router.row(router.routing).quantity == 33.0


def test_what_is_done_keeps_its_measure_but_learns_its_tools(router: Router) -> None:
    """A stage that was finished: the measure was confirmed then, the run hours may still be told apart."""
    router.joinery.tap("start", at("9:00"), router.routing, insisted=True)
    router.joinery.tap("finish", at("9:30"), router.routing)
    made = router.attach(router.routing)
    flow.match(router.store, router.job, made, {1: router.upcut, 2: router.vee}, UNA, NOW)
    assert router.row(router.routing).quantity == 20.0
    assert set(router.tools(router.routing)) == {router.upcut, router.vee}
    same_as_log(router)


def test_a_closed_job_and_what_is_not_there(router: Router) -> None:
    made = router.attach(router.routing)
    for job, stage in ((router.job, 999), (999, router.routing)):
        with pytest.raises(NotFound):
            to_the_end(
                Router(router.joinery, job, stage, stage, 0, 0, 0), stage, Sent(on_disk(TWO_BITS), "a.nc")
            )
    with pytest.raises(NotFound):
        flow.remove(router.store, 999, made, UNA, NOW)
    with router.store.writing() as session:
        close_job(session, router.job, NOW, UNA)
    with pytest.raises(Refused, match="closed"):
        flow.remove(router.store, router.job, made, UNA, NOW)


def test_a_stage_that_was_taken_out_can_come_back_with_it(router: Router) -> None:
    router.attach(router.routing)
    take_out(router.store, router.job, router.routing, UNA, NOW, "not wanted")
    assert router.row(router.routing).removed_at is not None
    assert count(router, ProgramRow) == 1


def test_the_fingerprint_is_of_the_whole_file_and_leaves_it_at_its_beginning() -> None:
    # the digest of "abc": NIST FIPS 180-2, appendix B.1
    digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    with on_disk(b"abc") as file:
        assert fingerprint_of(file) == (digest, 3)
        assert file.read() == b"abc"


def big() -> bytes:
    """Some three megabytes of little cuts."""
    lines = b"".join(b"G1 X%d Y%d\n" % (n % 500, n % 300) for n in range(240_000))
    return TWO_BITS.replace(b"M30\n", lines + b"M30\n")
