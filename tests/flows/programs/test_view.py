"""What the pages of a program and of its stage show."""

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.programs import attach as flow
from shoptrack.flows.programs.view import briefs, program_view, stage_programs
from tests.flows.programs.shop import TWO_BITS, Router
from tests.joinery import NOW, UNA

WIDE = TWO_BITS.replace(b"X1200 F400", b"X1200 Y900 F400")


def test_a_program_shows_minutes_reach_and_what_does_not_fit(router: Router) -> None:
    """The bed is 1000 × 800 mm and the flute 3 mm long: the program goes 1200 × 900 and cuts 4 deep."""
    made = router.attach(router.routing, WIDE)
    flow.match(router.store, router.job, made, {1: router.upcut}, UNA, NOW)
    view = program_view(router.store, router.job, made)
    assert view.unmatched == 1
    assert [line.tool_name for line in view.tools] == ["quarter upcut", ""]
    assert len(view.off_bed) == 2
    assert "along X" in view.off_bed[0]
    assert view.tools[0].too_deep
    assert view.tools[0].known
    assert not view.tools[1].too_deep, "no flute is known of what nobody matched"
    low, middle, high = view.run_min
    assert low < middle < high
    assert middle == pytest.approx(view.program.read.total_min * 1.15)
    assert view.path
    assert view.who == "Una"
    with pytest.raises(NotFound):
        program_view(router.store, 999, made)


def test_tools_of_the_router_are_offered_first(router: Router) -> None:
    from shoptrack.store import tools

    with router.store.writing() as session:
        tools.make_tool(session, "a hand plane", kind="iron")
    made = router.attach(router.routing)
    names = [name for _, name in program_view(router.store, router.job, made).tools[0].choices]
    assert names == ["quarter upcut", "V-bit", "a hand plane"]


def test_a_stage_lists_its_programs_in_few_words(router: Router) -> None:
    assert stage_programs(router.store, router.job, router.routing).programs == ()
    made = router.attach(router.routing, times=2)
    flow.match(router.store, router.job, made, {1: router.upcut}, UNA, NOW)
    (brief,) = stage_programs(router.store, router.job, router.routing).programs
    assert (brief.name, brief.times, brief.unmatched) == ("tray.nc", 2, 1)
    assert brief.tools == ("quarter upcut", "T2 V-bit")
    assert brief.total_min == pytest.approx(13.2)
    with router.store.reading() as session:
        assert briefs(session, [router.carving]) == {}
