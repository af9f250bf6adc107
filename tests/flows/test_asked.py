"""Who is asked what, and what of it stands above the work in hand."""

from shoptrack.flows.asked import asked_of, asked_of_person
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at


def test_a_question_names_its_job_and_stage(joinery: Joinery, day: BusyDay) -> None:
    """The panel glued at 16:35 was in clamps when the heat went off; 9.5 °C is under this glue's 10 °C."""
    found = {a.question.asks: a for a in asked_of(gather(joinery.store, NOW))}
    doubt = found["doubtful-joint"]
    assert (doubt.stage, doubt.coldest_c) == ("panel glue-up", 9.5)
    assert doubt.tag
    assert all(a.coldest_c is None for asks, a in found.items() if asks != "doubtful-joint")


def test_only_ones_own_hard_questions_stand_above(joinery: Joinery, day: BusyDay) -> None:
    """The joint may be judged by anybody: it is asked below on both benches."""
    sight = gather(joinery.store, NOW)
    for person in (UNA, PIET):
        own, rest = asked_of_person(sight, person)
        assert all(a.question.person == person and not a.question.soft for a in own)
        assert "doubtful-joint" in {a.question.asks for a in rest}
        assert not {(a.question.of, a.question.asks) for a in own} & {
            (a.question.of, a.question.asks) for a in rest
        }


def test_a_timer_left_on_is_asked_first(joinery: Joinery, day: BusyDay) -> None:
    """Una's frame, 55 minutes by rule of thumb, still runs the next morning."""
    own, _ = asked_of_person(gather(joinery.store, at("11:00", 1)), UNA)
    assert own[0].question.asks == "still-on"
    assert own[0].question.person == UNA
