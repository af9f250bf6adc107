"""Search: all words, whatever their capitals and marks, grouped, in pages; the office's for the office."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.flows.quoting import drafts
from shoptrack.flows.search import SHOWN_A_PAGE, SHOWN_FIRST, Group, folded, search
from shoptrack.store.customers import Called, add_customer
from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from tests.flows.quoting.shop import ad_hoc, made, price_all, tray
from tests.joinery import NOW, UNA, BusyDay, Joinery, at


def find(joinery: Joinery, asked: str, office: bool = True, **more: object) -> dict[str, Group]:
    with joinery.store.reading() as session:
        return {g.key: g for g in search(session, asked, office, **more)}  # type: ignore[arg-type]


def noted(joinery: Joinery, job: int, notes: str) -> None:
    with joinery.store.writing() as session:
        edit(session, job_row(session, job), None, NOW, notes=notes)


@pytest.mark.parametrize("asked", ["MÖBEL", "möbel", "mobel", "öb", "Mobel GRÖSSE", "straße", "STRASSE"])
def test_capitals_and_marks_do_not_matter(joinery: Joinery, asked: str) -> None:
    """SQLite's own LIKE folds A to Z alone; this finds Ö by ö and by o, and ß by ss."""
    job = joinery.add("tray", "tray", None)["job"]
    noted(joinery, job, "Möbel für die Straße, Größe 4")
    assert find(joinery, asked)["jobs"].total == 1


def test_all_words_must_be_there_in_any_order(joinery: Joinery, day: BusyDay) -> None:
    assert [f.job.title for f in find(joinery, "door ash")["jobs"].found if f.job] == ["hall door, ash"]
    assert find(joinery, "marr elm")["jobs"].total == 1
    assert find(joinery, "door elm") == {}


@pytest.mark.parametrize("asked", ["", "   ", "zzz-not-there", "' OR 1=1 --", "%", "_", "<script>"])
def test_what_is_not_there_is_not_found(joinery: Joinery, day: BusyDay, asked: str) -> None:
    assert find(joinery, asked) == {}


def test_a_tag_comes_first_and_goes_with_other_words(joinery: Joinery, day: BusyDay) -> None:
    """B2 is the hall door; the newest job's note speaks of b2 too."""
    noted(joinery, day.letter["job"], "like b2")
    first, second = find(joinery, "b2")["jobs"].found
    assert (first.job and first.job.tag, second.job and second.job.title) == ("B2", "letter tray")
    assert find(joinery, "b2 ash")["jobs"].total == 1


def test_each_sort_leads_where_it_stands(joinery: Joinery, day: BusyDay) -> None:
    joinery.tap("note", at("13:22"), day.letter["inlay"], text="cauls slipped again")
    found = find(joinery, "caul")
    assert found["stages"].found[0].path == f"/jobs/{day.letter['job']}"
    assert "cauls waxed" in found["stages"].found[0].words
    (note,) = found["notes"].found
    assert (note.path, note.at) == (f"/jobs/{day.letter['job']}#log", at("13:22"))
    assert find(joinery, "odile")["customers"].found[0].path == "/customers/1"


def test_only_the_office_finds_what_is_the_offices(joinery: Joinery, day: BusyDay) -> None:
    assert "customers" in find(joinery, "odile")
    assert set(find(joinery, "odile", office=False)) == {"jobs"}


QUOTED = "quote 1 · two trays · Odile Marr · tray · oiled, with rounded corners · she likes straight grain"


@pytest.mark.parametrize(
    "asked",
    ["quote 1", "1", "TWO trays", "odile quote", "1 tray", "rounded óiled", "straight grain", "quote tray"],
)
def test_a_quote_is_found_by_all_that_it_says(joinery: Joinery, asked: str) -> None:
    """Its number, title, customer, pattern, the words on its sheet and the shop's own notes."""
    made(joinery, tray(joinery, price_all(joinery)), "q" * 32)
    made(joinery, ad_hoc(joinery), "r" * 32)
    first = find(joinery, asked)["quotes"].found[0]
    assert (first.path, first.job, first.words) == ("/quotes/1", None, QUOTED)


def test_the_number_of_a_quote_is_not_part_of_another(joinery: Joinery) -> None:
    """Quote 1 is not quote 11, and a number in the words comes after the quote of that number."""
    price_all(joinery)
    for n in range(11):
        made(joinery, ad_hoc(joinery, words="for 1 wall" if n == 4 else ""), f"{n:032}")
    assert [f.path for f in find(joinery, "quote 11")["quotes"].found] == ["/quotes/11"]
    assert [f.path for f in find(joinery, "quote 1")["quotes"].found] == ["/quotes/5", "/quotes/1"]
    assert [f.path for f in find(joinery, "1")["quotes"].found] == ["/quotes/1", "/quotes/5"]
    assert "quotes" not in find(joinery, "quote 12")


def test_only_the_newest_revision_of_a_quote_is_found(joinery: Joinery) -> None:
    wood = price_all(joinery)
    quote = made(joinery, tray(joinery, wood), "q" * 32)
    changed = tray(joinery, wood, title="three trays", words="waxed", notes="")
    drafts.revise(joinery.store, quote, 1, changed, UNA, NOW)
    assert find(joinery, "waxed three")["quotes"].total == 1
    for gone in ("oiled", "grain", "two trays"):
        assert "quotes" not in find(joinery, gone)


def test_only_the_office_finds_quotes(joinery: Joinery) -> None:
    made(joinery, tray(joinery, price_all(joinery)), "q" * 32)
    for asked in ("quote", "quote 1", "1", "oiled", "odile", "straight grain"):
        assert "quotes" in find(joinery, asked)
        assert "quotes" not in find(joinery, asked, office=False)
        assert "quotes" not in find(joinery, asked, office=False, only="quotes")


def test_pages(joinery: Joinery) -> None:
    many = SHOWN_A_PAGE + 3
    with joinery.store.writing() as session:
        for n in range(many):
            add_customer(session, Called(f"Fern {n:02}"), None, NOW)
    first = find(joinery, "fern")["customers"]
    assert (len(first.found), first.total) == (SHOWN_FIRST, many)
    pages = [find(joinery, "fern", only="customers", page=p) for p in (1, 2, 3)]
    shown = [f.words for p in pages for f in p["customers"].found]
    assert shown == [f"Fern {n:02}" for n in range(many)]


def test_long_words_are_cut_around_what_was_asked(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    noted(joinery, job, "x " * 500 + "needle" + " y" * 500)
    (found,) = find(joinery, "needle")["jobs"].found
    assert "needle" in found.words
    assert len(found.words) < 200


@given(st.text())
def test_folding_is_done_once(text: str) -> None:
    """Folded again it is the same, and large and small letters fold alike."""
    assert folded(folded(text)) == folded(text)
    if unicodedata.normalize("NFC", text).isascii():
        assert folded(text.upper()) == folded(text.lower())
