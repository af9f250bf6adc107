"""A taken quote is a job with the quoted stages and measures, whatever became of the pattern since."""

from shoptrack.flows.quoting import answers
from shoptrack.flows.shopfloor import gather
from shoptrack.store.jobs import job_row
from shoptrack.store.pattern_stages import stages_of
from shoptrack.store.patterns import pattern_row, revise_pattern
from shoptrack.store.tables import JobRow
from tests.flows.quoting.shop import ad_hoc, kept, out, row_of, tray
from tests.joinery import NOW, UNA, Joinery, at


def taken(joinery: Joinery, quote: int) -> JobRow:
    """The job that the quote becomes."""
    job = answers.take(joinery.store, quote, 1, UNA, NOW)
    with joinery.store.reading() as session:
        return job_row(session, job)


def test_the_job_has_the_quoted_measures_price_and_customer(joinery: Joinery, wood: int) -> None:
    """Five boards instead of four; the price is without tax, and nothing is said to be paid yet."""
    quote = out(joinery, tray(joinery, wood, measures={1: 5.0}))
    job = taken(joinery, quote)
    assert [(s.position, s.name, s.quantity) for s in job.stages] == [
        (1, "milling", 5),
        (2, "glue-up", 2),
        (3, "carving the well", 2),
        (4, "inlay", 20),
        (5, "oiling", 3),
    ]
    found = kept(joinery, quote)
    assert [s.position for s in job.stages] == [s.position for s in found.made.stages]
    assert (job.title, job.customer, job.pieces) == ("two trays", "Odile Marr", 2)
    assert (job.price_cents, job.deposit_cents) == (found.sums.price_cents, None)
    assert job.pattern_revision_id == joinery.revisions["tray"]
    assert job.notes.splitlines() == [
        "oiled, with rounded corners",
        "she likes straight grain",
        "Chosen: feet.",
        "Charged beside the work: to the door.",
        f"From quote {quote}, revision 1.",
    ]


def test_a_retired_pattern_and_a_newer_revision_change_nothing(joinery: Joinery, wood: int) -> None:
    quote = out(joinery, tray(joinery, wood))
    with joinery.store.writing() as session:
        revise_pattern(session, 1, stages=stages_of(session, 1)[:2], now=NOW)
        pattern_row(session, 1).retired_at = NOW
    job = taken(joinery, quote)
    assert len(job.stages) == 5
    assert job.pattern_revision_id == joinery.revisions["tray"]


def test_stages_said_one_by_one_follow_each_other(joinery: Joinery, wood: int) -> None:
    """Each waits for the one before, holds its station, and is worked like any other."""
    quote = out(joinery, ad_hoc(joinery))
    job = taken(joinery, quote)
    first, second, third = job.stages
    assert [(s.position, s.name, s.quantity, s.station_id) for s in job.stages] == [
        (1, "shelf boards", 8.5, None),
        (2, "dish it", 2, 1),
        (3, "glue-up", 3, None),
    ]
    assert [[n.needs_id for n in s.needs] for s in job.stages] == [[], [first.id], [second.id]]
    assert (second.attendance, third.interruption) == ("within earshot", "none")
    assert (job.pattern_revision_id, job.pieces) == (None, 1)
    assert [s.position for s in kept(joinery, quote).made.stages] == [1, 2, 3]
    states = gather(joinery.store, NOW).standings
    assert (states[first.id].state, states[second.id].state) == ("ready", "waiting")
    joinery.tap("start", at("13:25"), first.id)


def test_a_quote_of_things_alone_is_a_job_without_stages(joinery: Joinery, wood: int) -> None:
    wanted = tray(joinery, wood, revision=None, words="", notes="", options=(), charges=())
    quote = out(joinery, wanted)
    job = taken(joinery, quote)
    assert job.stages == []
    assert job.notes == f"From quote {quote}, revision 1."
    assert row_of(joinery, quote)["job_id"] == job.id
