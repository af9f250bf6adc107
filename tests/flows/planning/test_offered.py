"""A quote among the jobs: it would have the very stages that the job has which is made of it."""

from dataclasses import replace
from datetime import date

import pytest

from shoptrack.engine.shapes import Need, Stage
from shoptrack.flows.planning.offered import offer_of, with_offers
from shoptrack.flows.quoting import answers
from shoptrack.flows.quoting.wanted import Wanted
from shoptrack.flows.shopfloor import gather, gather_job
from tests.flows.quoting.shop import ad_hoc, kept, out, price_all, tray
from tests.joinery import NOW, UNA, Joinery


@pytest.fixture
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def by_place(stages: tuple[Stage, ...]) -> list[Stage]:
    """Stages without their own numbers: what each needs is said by its place."""
    places = {stage.id: stage.position for stage in stages}

    def plain(stage: Stage) -> Stage:
        needs = tuple(replace(n, stage=places[n.stage]) for n in sorted(stage.needs, key=lambda n: n.stage))
        return replace(stage, id=0, job=0, needs=needs, settings="", caution="")

    return [plain(stage) for stage in sorted(stages, key=lambda s: s.position)]


@pytest.mark.parametrize("make", [tray, ad_hoc])
def test_it_has_the_stages_of_the_job_it_becomes(joinery: Joinery, wood: int, make: object) -> None:
    wanted = tray(joinery, wood, measures={1: 5.0}) if make is tray else ad_hoc(joinery)
    assert isinstance(wanted, Wanted)
    quote = out(joinery, wanted)
    with joinery.store.reading() as session:
        offer = offer_of(session, quote, kept(joinery, quote), "Odile Marr", NOW)
    job = answers.take(joinery.store, quote, 1, UNA, NOW)
    sight = gather_job(joinery.store, job, NOW)
    real = tuple(stage for stage in sight.world.stages.values() if stage.job == job)
    assert len(real) > 2
    assert by_place(offer.stages) == by_place(real)
    assert (offer.job.pieces, offer.job.title) == (sight.world.jobs[job].pieces, sight.world.jobs[job].title)
    assert (offer.job.pattern is None) == (make is ad_hoc)


def test_it_stands_untouched_among_the_others(joinery: Joinery, wood: int) -> None:
    joinery.add("tray", "another", None)
    quote = out(joinery, tray(joinery, wood))
    sight = gather(joinery.store, NOW)
    with joinery.store.reading() as session:
        offer = offer_of(session, quote, kept(joinery, quote), "Odile Marr", NOW, date(2026, 6, 30))
    with_it = with_offers(sight, [offer])
    first, second = offer.stages[:2]
    assert with_it.standings[first.id].state == "ready"
    assert with_it.standings[second.id].state == "waiting"
    assert second.needs == (Need(first.id),)
    assert with_it.world.jobs[offer.job.id].promised_on == date(2026, 6, 30)
    assert {s: with_it.standings[s] for s in sight.standings} == dict(sight.standings)
    assert with_offers(sight, []) is sight
