"""What a search looks through: every thing once, the newest first, without what was taken back."""

from shoptrack.store import search
from shoptrack.store.costs import Spent, add_cost, take_back
from shoptrack.store.customers import Called, add_customer
from shoptrack.store.db import Store
from shoptrack.store.extras import add_extra
from shoptrack.store.photos import Picture, add_photo
from tests.flows.quoting.shop import ad_hoc, made, price_all, tray
from tests.joinery import Joinery
from tests.store.making import NOW, furnish, order, put


def test_jobs_and_customers_with_their_words(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        jobs = [order(session, made)[0], order(session, made, "box")[0]]
        called = Called("Zoe Ash", "the daughter", "z@ash.example", "555", "Mill Road", "pays late")
        add_customer(session, called, None, NOW)
        found = list(search.job_words(session))
        assert [(w.id, w.short, w.words) for w in found] == [
            (jobs[1], "B2", ("box", "Ms Fern", "", "")),
            (jobs[0], "A2", ("tray for the hall", "Ms Fern", "", "")),
        ]
        assert [w.words[0] for w in search.customer_words(session)] == ["Ms Fern", "Zoe Ash"]
        assert list(search.customer_words(session))[1].words[1:] == (
            "the daughter", "z@ash.example", "555", "Mill Road", "pays late",
        )  # fmt: skip
        assert [w.words for w in search.pattern_words(session)] == [("tray",)]
        names = search.job_names(session, jobs)
        assert (names[jobs[0]].tag, names[jobs[1]].title, names[jobs[0]].closed) == ("A2", "box", False)


def test_quotes_by_their_newest_revision(joinery: Joinery) -> None:
    """The newest first, each by its number; without a pattern and without words these are empty."""
    wood = price_all(joinery)
    made(joinery, tray(joinery, wood, words='"oiled" Öl 🪵'), "q" * 32)
    made(joinery, ad_hoc(joinery), "r" * 32)
    with joinery.store.reading() as session:
        found = [(w.id, w.short, w.job, w.words) for w in search.quote_words(session)]
    assert found == [
        (2, "2", None, ("quote", "a shelf", "Ruy Plas", "", "", "")),
        (
            1,
            "1",
            None,
            ("quote", "two trays", "Odile Marr", "tray", '"oiled" Öl 🪵', "she likes straight grain"),
        ),
    ]


def test_stages_that_read_the_same_are_one_line(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        order(session, made)
        newest = order(session, made)[0]
        lines = {w.words[0]: (w.id, w.job) for w in search.stage_words(session)}
        assert lines == {"mill": (2, newest), "glue up": (2, newest), "sand": (2, newest)}


def test_what_was_written_into_the_book(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job, (mill, *_) = order(session, made)
        put(session, 1, NOW, "note", stages=(mill,), text="grain runs out")
        put(session, 2, NOW, "note", job=job, text="the whole job")
        put(session, 3, NOW, "start", stages=(mill,), person=made.ann)
        put(session, 4, NOW, "note", stages=(mill,))
        found = list(search.note_words(session, ("note",)))
        assert [(w.words, w.job) for w in found] == [(("the whole job",), job), (("grain runs out",), job)]
        assert search.instants_of_notes(session, [found[0].id]) == {found[0].id: NOW}


def test_extras_costs_and_photos(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job, _ = order(session, made)
        add_extra(session, job, number=1, words="felt", cents=0, asked_on=NOW.date(), who=None, now=NOW)
        kept, gone = (
            add_cost(session, job, Spent("other", w, NOW.date(), cents=1), after=0, who=None, now=NOW)
            for w in ("freight", "wrong")
        )
        take_back(session, job, gone.id, None, NOW)
        for words in ("end grain", ""):
            picture = Picture(words.encode(), b"", 1, 1, words or "x")
            add_photo(
                session, store.instance, picture, job_id=job, stage_id=None, words=words, who=None, now=NOW
            )
        assert [(w.words[0], w.job) for w in search.extra_words(session)] == [("felt", job)]
        assert [(w.id, w.words) for w in search.cost_words(session)] == [(kept.id, ("freight", "other"))]
        assert [w.words for w in search.photo_words(session)] == [("end grain",)]
