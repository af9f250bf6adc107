"""A full invented day of two people, worked out by hand, against what replay makes of its taps."""

from datetime import date

import pytest

from shoptrack.engine.marks import untils
from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import ClampNeed, Need, Pass, Replayed, Standing, World
from shoptrack.engine.states import stand
from tests.engine.shop import ANN, BEN, LONG, PVA, QUICK, SHORT, Pencil, at, glue_up, shop, stage

MILL_K7, MILL_B3, MILL_M2 = 10, 20, 30
GLUE_K7, FLATTEN_K7 = 11, 12
CARVE, INLAY, SAND = 40, 41, 42
GLUE_R5 = 50
CARVE_S2 = 60


def the_shop() -> World:
    """Six jobs: K7 table, B3 trays and M2 box (milled together), D4 doors with 20 inlays, R5 and S2."""
    return shop(
        stage(MILL_K7, "milling", job=1, rule=(20, 5), quantity=8),  # 60 min by rule of thumb
        stage(MILL_B3, "milling", job=2, rule=(20, 5), quantity=4),  # 40
        stage(MILL_M2, "milling", job=3, rule=(20, 5), quantity=12),  # 80
        glue_up(GLUE_K7, PVA, job=1, after=(MILL_K7,)),
        stage(FLATTEN_K7, "flattening", job=1, after=(GLUE_K7,)),
        stage(CARVE, "carving", job=4, rule=(30, 15), quantity=8),  # 150
        stage(
            INLAY,
            "inlay",
            job=4,
            rule=(10, 8),
            quantity=20,
            after=(CARVE,),
            recipe=QUICK,
            rounds=True,
            clamps=(ClampNeed(SHORT, 1, per_piece=True),),
            tools=(1,),
        ),
        stage(SAND, "sanding", job=4, quantity=20, needs=(Need(INLAY, by_rounds=True),)),
        glue_up(GLUE_R5, PVA, job=5),
        stage(CARVE_S2, "carving", job=6, rule=(30, 15), quantity=4),
    )


def the_day() -> Pencil:
    """Tuesday, and the first tap of Wednesday. The shop works 8:00–12:00 and 12:45–17:00."""
    book = Pencil()
    ann, ben = ANN, BEN
    book.tap("8:00", "start", ann, MILL_K7, MILL_B3, MILL_M2, limit_min=320)
    book.tap("8:05", "start", ben, CARVE, limit_min=300)
    book.tap("9:10", "start", ben, text="phone")
    book.tap("9:20", "start", ben, CARVE, limit_min=300)
    book.tap("9:30", "finish", ann, MILL_K7)
    book.tap("10:00", "finish", ann, MILL_B3, MILL_M2)
    book.tap("10:00", "start", ann, GLUE_K7, limit_min=90)
    book.tap("10:20", "help", ann, GLUE_K7, helper=ben, minutes=10.0)
    book.tap("10:25", "closed", ann, GLUE_K7)
    book.tap("10:30", "finish", ann, GLUE_K7)
    book.tap("10:30", "start", ann, CARVE_S2, limit_min=180)
    book.tap("11:15", "put-aside", ann, job=6, reason="lumber", look_again_on=date(2026, 3, 13))
    book.tap("11:15", "start", ann, text="sweeping")
    book.tap("11:30", "unclamp", ann, GLUE_K7)
    book.tap("11:35", "pause", ann)
    book.tap("13:15", "finish", ben, CARVE)
    book.tap("13:20", "start", ann, INLAY, limit_min=340)
    book.tap("14:00", "closed", ann, INLAY, count=7.0)
    book.tap("14:00", "mend", ben, MILL_B3, minutes=15.0, cents=250)
    book.tap("15:00", "unclamp", ann, INLAY, count=7.0)
    book.tap("15:20", "closed", ann, INLAY, count=7.0)
    book.tap("15:25", "spoil", ann, INLAY, count=2.0, out_of=20.0, way_back=CARVE, cause="dull edge")
    book.tap("16:25", "unclamp", ann, INLAY)
    book.tap("16:30", "start", ben, GLUE_R5, limit_min=90)
    book.tap("16:40", "closed", ann, INLAY, count=4.0)
    book.tap("16:45", "finish", ann, INLAY, count=18.0)
    book.tap("17:00", "closed", ben, GLUE_R5)
    book.tap("wed 8:00", "start", ben, CARVE, limit_min=300)
    return book


def see(when: str) -> tuple[Replayed, dict[int, Standing]]:
    replayed = replay(the_day().entries, the_shop(), at(when))
    return replayed, stand(replayed, the_shop())


def only(replayed: Replayed, number: int) -> Pass:
    assert len(replayed.passes[number]) == 1
    return replayed.passes[number][0]


@pytest.fixture(scope="module")
def wednesday() -> tuple[Replayed, dict[int, Standing]]:
    return see("wed 8:10")


def test_three_jobs_milled_together(wednesday: tuple[Replayed, dict[int, Standing]]) -> None:
    """8:00–9:30 is 90 min for all three, split 60 : 40 : 80 → 30, 20, 40. K7 is done. 9:30–10:00 is 30 min
    for the other two, split 40 : 80 → 10, 20. So K7 30, B3 30, M2 60: 120 min of Ann's, no minute twice. B3
    was mended for 15 min and $2.50, which stays beside."""
    replayed, _ = wednesday
    minutes = [only(replayed, s).attended_min for s in (MILL_K7, MILL_B3, MILL_M2)]
    assert minutes == pytest.approx([30, 30, 60])
    assert only(replayed, MILL_K7).finished_at == at("9:30")
    assert only(replayed, MILL_B3).finished_at == at("10:00")
    assert (only(replayed, MILL_B3).mend_min, only(replayed, MILL_B3).mend_cents) == (15, 250)
    assert only(replayed, MILL_M2).together == (MILL_K7, MILL_B3, MILL_M2)
    assert all(only(replayed, s).teaches for s in (MILL_K7, MILL_B3, MILL_M2))


def test_carving_with_a_phone_call_lunch_and_help_given(
    wednesday: tuple[Replayed, dict[int, Standing]],
) -> None:
    """Ben carves 8:05–9:10 (65), answers the phone 9:10–9:20 (10 min of shop time), carves 9:20–12:00 (160)
    less the 10 min he helped Ann glue (150), lunch does not count, 12:45–13:15 (30): 245 min. He never tapped
    for lunch, and his next tap was the finish: it was one stage going on and it teaches. 245 is under the 300
    limit."""
    replayed, _ = wednesday
    carving = replayed.passes[CARVE][0]
    assert carving.attended_min == pytest.approx(65 + 150 + 30)
    assert carving.elapsed_min == pytest.approx(65 + 160 + 30)
    assert carving.teaches
    phone = next(s for s in replayed.shop_time if s.name == "phone")
    assert phone.minutes == pytest.approx(10)


def test_glue_up_with_a_helper(wednesday: tuple[Replayed, dict[int, Standing]]) -> None:
    """Ann 10:00–10:30 is 30 min, Ben's 10 make 40 attended, 30 elapsed. Closed at 10:25 in a shop at 20 °C:
    clamps off from 11:25, scrape 10:50–11:05, work from Wednesday 10:25. Unclamped at 11:30, five minutes
    late, not early."""
    replayed, standings = wednesday
    glued = only(replayed, GLUE_K7)
    assert (glued.attended_min, glued.elapsed_min) == pytest.approx((40, 30))
    ((made, cured),) = standings[GLUE_K7].cures
    times = {m.mark.role: (m.from_at, m.until_at) for m in cured.marks}
    assert times["clamps off"] == (at("11:25"), None)
    assert times["scrape"] == (at("10:50"), at("11:05"))
    assert times["work"] == (at("wed 10:25"), None)
    assert made.unclamped_at == at("11:30")
    assert not made.unclamp_assumed
    assert standings[GLUE_K7].state == "curing"
    assert standings[FLATTEN_K7].state == "waiting"
    assert standings[FLATTEN_K7].until_at == at("wed 10:25")


def test_squeeze_out_is_called_until_it_is_too_late() -> None:
    """At 10:40 the Floor calls for scraping K7 by 11:05; at 11:10 it was missed; clamps off at 11:30 ends
    it."""
    called = [(u.mark.until_at, u.missed) for u in untils(see("10:40")[1], at("10:40"))]
    assert called == [(at("11:05"), False)]
    assert [u.missed for u in untils(see("11:10")[1], at("11:10"))] == [True]
    assert untils(see("11:31")[1], at("11:31")) == ()


def test_put_aside_in_the_morning(wednesday: tuple[Replayed, dict[int, Standing]]) -> None:
    """Ann carves S2 10:30–11:15 (45 min); it is put aside for lumber until Friday, and that ended her stint.
    She sweeps 11:15–11:35 (20 min of shop time)."""
    replayed, standings = wednesday
    assert only(replayed, CARVE_S2).attended_min == pytest.approx(45)
    assert standings[CARVE_S2].state == "put aside"
    assert replayed.asides[CARVE_S2].look_again_on == date(2026, 3, 13)
    assert next(s for s in replayed.shop_time if s.name == "sweeping").minutes == pytest.approx(20)


def test_inlay_in_uneven_rounds_with_two_spoiled(wednesday: tuple[Replayed, dict[int, Standing]]) -> None:
    """Ann 13:20–16:45: 205 min. Rounds of 7, 7 and 4 closed at 14:00, 15:20, 16:40, each workable two hours
    later. Two of 20 spoiled, from carving: carving opens again for 2/20 of its measure (0.8 of 8), inlay for
    2; the inlay in hand shrinks to 18 and is finished with 18."""
    replayed, standings = wednesday
    first, again = replayed.passes[INLAY]
    assert first.attended_min == pytest.approx(205)
    assert [(r.count, r.cured_from) for r in first.rounds] == [
        (7, at("14:00")),
        (7, at("15:20")),
        (4, at("16:40")),
    ]
    assert (first.quantity, again.quantity) == (18, 2)
    assert replayed.passes[CARVE][1].quantity == pytest.approx(0.8)
    assert [q.asks for q in replayed.questions if not q.soft] == ["found-dull"]
    assert standings[INLAY].state == "waiting"
    assert [w.stage for w in standings[INLAY].waits] == [CARVE]
    assert again.started_at is None
    assert not replayed.passes[CARVE][1].teaches


def test_sanding_may_begin_on_the_rounds_that_are_ready() -> None:
    """7 of the 20 can be worked from 16:00, so sanding is ready with 7; at 15:59 it waits."""
    assert see("15:59")[1][SAND].state == "waiting"
    ready = see("16:01")[1][SAND]
    assert (ready.state, ready.ready_count) == ("ready", 7)
    assert see("wed 8:10")[1][SAND].ready_count == 18


@pytest.mark.parametrize(
    ("when", "long", "short"),
    [
        ("8:30", 8, 7),
        ("10:26", 4, 7),  # K7 holds four
        ("11:31", 8, 7),  # they are off
        ("14:01", 8, 0),  # seven inlays hold one each
        ("15:01", 8, 7),
        ("15:30", 8, 0),
        ("16:26", 8, 7),
        ("16:41", 8, 3),
        ("17:01", 4, 3),  # R5 holds four overnight
    ],
)
def test_clamps_on_the_wall(when: str, long: int, short: int) -> None:
    """Counted by hand from closings and unclampings."""
    assert see(when)[0].free_clamps == {LONG: long, SHORT: short}


def test_closed_at_closing_time_and_never_finished(wednesday: tuple[Replayed, dict[int, Standing]]) -> None:
    """Ben glues R5 16:30–17:00, closes it at closing time and goes home. Nobody taps finish. On Wednesday he
    starts the carving again: R5 took 30 min, is done from its closing, cures until 17:00 (24 h at 20 °C), its
    clamps may have come off since 18:00. Whether he washed up after closing nobody knows: it teaches
    nothing."""
    replayed, standings = wednesday
    glued = only(replayed, GLUE_R5)
    assert glued.attended_min == pytest.approx(30)
    assert glued.finished_at == at("17:00")
    assert (standings[GLUE_R5].state, standings[GLUE_R5].until_at) == ("curing", at("wed 17:00"))
    assert (glued.teaches, glued.why_not) == (False, "left over a break without a tap")
    assert see("17:30")[1][GLUE_R5].state == "in hand"


def test_wednesday_morning(wednesday: tuple[Replayed, dict[int, Standing]]) -> None:
    """Ben is at the carving of the two spoiled pieces since 8:00; Ann has nothing in hand; all minutes of
    Tuesday add up: Ann 120 + 30 + 45 + 205 on jobs and 20 in the shop; Ben 245 + 10 help + 30, and 10 on the
    phone."""
    replayed, standings = wednesday
    assert {p: n.stages for p, n in replayed.people.items()} == {BEN: (CARVE,)}
    assert standings[CARVE].state == "in hand"
    assert standings[CARVE].work.redo == 1
    first = [p[0] for p in replayed.passes.values()]
    assert sum(p.attended_min for p in first) == pytest.approx(120 + 30 + 45 + 205 + 245 + 10 + 30)
    assert sum(s.minutes for s in replayed.shop_time) == pytest.approx(30)
