"""Writing a quote down: lines added and taken out, reckoned without saving, saved, revised, nothing lost."""

import re

import pytest
from flask.testing import FlaskClient
from sqlalchemy import delete

from shoptrack.store.quotes import quote_row
from shoptrack.store.tables import MaterialRow, QuoteRow, RateRow
from tests.flows.quoting.shop import kept, price_all
from tests.joinery import NOW, Joinery
from tests.web.filled import filled
from tests.web.quoting import form, press, saved, wrong_of
from tests.web.test_floor import text_of

NEW = "/quotes/new"
LINE = {
    "bought-0-words": "ash “A”, <4/4>", "bought-0-kind": "material", "bought-0-quantity": "12,5",
    "bought-0-unit": "board feet", "bought-0-each": "9.80",
}  # fmt: skip


@pytest.fixture(autouse=True)
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def count(joinery: Joinery) -> int:
    with joinery.store.reading() as session:
        return session.query(QuoteRow).count()


def test_a_pattern_is_chosen_or_a_list_of_stages(office: FlaskClient) -> None:
    page = office.get(NEW).text
    assert re.findall(r'href="/quotes/new\?pattern=(\w+)"', page) == ["2", "1", "none"]
    assert "Stages, one after another" in office.get(f"{NEW}?pattern=none").text
    for nowhere in ("99", "x", ""):
        assert office.get(f"{NEW}?pattern={nowhere}").status_code == 404


def test_lines_come_and_go_without_a_script(office: FlaskClient) -> None:
    """What is typed anywhere stays while lines are added and taken out."""
    said = form(office, f"{NEW}?pattern=1") | LINE | {"title": "a tray & more", "notes": "two\nlines"}
    more = filled(press(office, NEW, said, "add-bought").text, "quote")
    assert (more["bought-lines"], more["bought-1-words"]) == ("2", "")
    less = filled(press(office, NEW, more | {"bought-1-words": "pins"}, "out-bought-0").text, "quote")
    assert (less["bought-lines"], less["bought-0-words"]) == ("1", "pins")
    assert (less["title"], less["notes"].strip()) == ("a tray & more", "two\nlines")
    gone = filled(press(office, NEW, less, "out-bought-0").text, "quote")
    assert gone["bought-lines"] == "0"


def test_reckoning_shows_what_comes_out_and_saves_nothing(office: FlaskClient, joinery: Joinery) -> None:
    """Without a customer yet; what is saved then from the same form has the very same cents."""
    said = form(office, f"{NEW}?pattern=1") | LINE
    answer = press(office, NEW, said, "reckon")
    assert answer.status_code == 200
    assert count(joinery) == 0
    words = text_of(answer.text)
    assert "Reckoned, not saved" in words
    assert "5 of 5 stages untested" in words
    again = filled(answer.text, "quote")
    assert again | LINE == again
    answer = press(office, NEW, again | {"customer": "Ola Fen"}, "save")
    page = text_of(office.get(answer.location).text)
    price = re.search(r"What ([\d,.]+ USD) for the work leaves", words)
    assert price
    assert f"What {price[1]} for the work leaves" in page
    assert "Ola Fen" in page
    assert press(office, NEW, again | {"customer": "Ola Fen"}, "save").location == answer.location
    assert count(joinery) == 1


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"customer": ""}, "customer"),
        ({"bought-0-each": "x"}, "bought-0-each"),
        ({"bought-0-quantity": "0"}, "bought-0-quantity"),
        ({"margin": "99"}, "margin"),
        ({"measure-4": "-3"}, "measure-4"),
        ({"hour": "-1"}, "hour"),
    ],
)
def test_a_slip_of_the_pen_loses_nothing(
    office: FlaskClient, joinery: Joinery, typed: dict[str, str], field: str
) -> None:
    said = form(office, f"{NEW}?pattern=1") | {"customer": "Ola Fen"} | LINE | typed
    answer = press(office, NEW, said, "save")
    assert wrong_of(answer)[0] == field
    back = filled(answer.text, "quote")
    kept_as_typed = {**LINE, **typed} | {"title": "tray", "customer": typed.get("customer", "Ola Fen")}
    assert {name: back[name] for name in kept_as_typed} == kept_as_typed
    assert count(joinery) == 0


def test_nobody_said_what_an_hour_costs(office: FlaskClient, joinery: Joinery) -> None:
    """The page says so beside the field, which stands where the rest of the terms unfold."""
    with joinery.store.writing() as session:
        session.execute(delete(RateRow))
    answer = press(office, NEW, form(office, f"{NEW}?pattern=1"), "reckon")
    assert wrong_of(answer)[0] == "hour"
    assert "<details open><summary>The rest of the terms" in answer.text
    back = filled(answer.text, "quote")
    assert press(office, NEW, back | {"hour": "48"}, "reckon").status_code == 200


def test_boards_are_reckoned_into_a_line(office: FlaskClient) -> None:
    said = form(office, f"{NEW}?pattern=1")
    sizes = {"thickness": "3/4", "width": "5 7/8", "length": "47", "count": "10", "words": "ash", "each": "8"}
    answer = press(office, NEW, said | {f"boards-{part}": size for part, size in sizes.items()}, "boards")
    back = filled(answer.text, "quote")
    assert (back["bought-0-words"], back["bought-0-quantity"]) == ("ash, 4/4 rough", "20")
    wrong = press(office, NEW, said | {"boards-thickness": "3/4"}, "boards")
    assert wrong_of(wrong)[0] == "boards-width"


def test_a_list_of_stages(office: FlaskClient, joinery: Joinery) -> None:
    said = form(office, f"{NEW}?pattern=none") | {"title": "a shelf", "customer": "Ruy Plas"}
    said |= {"stage-0-kind": str(joinery.kinds["milling"]), "stage-0-quantity": "8.5"}
    said = filled(press(office, NEW, said, "add-stage").text, "quote")
    said |= {"stage-1-kind": str(joinery.kinds["carving"]), "stage-1-quantity": "2", "stage-1-station": "1"}
    quote = int(press(office, NEW, said, "save").location.rpartition("/")[2])
    found = kept(joinery, quote)
    assert [(s.name, s.quantity, s.station_name) for s in found.made.stages] == [
        ("milling", 8.5, ""),
        ("carving", 2, "router"),
    ]
    page = text_of(office.get(f"/quotes/{quote}").text)
    assert "a list of stages" in page
    assert filled(office.get(f"/quotes/{quote}/revise").text, "quote")["stage-1-station"] == "1"


def test_the_next_quote_of_a_pattern_proposes_what_the_last_bought(office: FlaskClient) -> None:
    """For as many pieces; of others the same are taken again for those."""
    first = saved(office, **LINE, pieces="2")
    page = office.get(f"{NEW}?pattern=1").text
    assert f"is proposed from quote {first}" in text_of(page)
    said = filled(page, "quote")
    assert (said["pieces"], said["bought-0-words"], said["bought-0-quantity"]) == (
        "2",
        LINE["bought-0-words"],
        "12.5",
    )
    back = filled(press(office, NEW, said | {"pieces": "6"}, "propose").text, "quote")
    assert (back["pieces"], back["bought-0-quantity"]) == ("6", "37.5")


def test_a_revision_and_another_one_meanwhile(office: FlaskClient, joinery: Joinery) -> None:
    """The older form comes back with what was typed, and saved again it counts."""
    quote = saved(office)
    path = f"/quotes/{quote}/revise"
    mine, theirs = form(office, path), form(office, path)
    assert press(office, path, theirs | {"pieces": "3"}, "save").status_code == 303
    assert press(office, path, theirs | {"pieces": "3"}, "save").status_code == 303
    answer = press(office, path, mine | {"title": "my tray"}, "save")
    assert answer.status_code == 400
    assert "Somebody changed this quote since the page was opened" in answer.text
    back = filled(answer.text, "quote")
    assert back["title"] == "my tray"
    assert press(office, path, back, "save").status_code == 303
    with joinery.store.reading() as session:
        assert [r.pieces for r in quote_row(session, quote).revisions] == [1, 3, 1]


def test_what_is_no_longer_offered_stays_chosen(office: FlaskClient, joinery: Joinery, wood: int) -> None:
    """A wood that was retired since is still that of the quote."""
    quote = saved(office, **LINE | {"bought-0-kind": f"m{wood}", "bought-0-each": ""})
    with joinery.store.writing() as session:
        session.get_one(MaterialRow, wood).retired_at = NOW
    assert form(office, f"/quotes/{quote}/revise")["bought-0-kind"] == f"m{wood}"
    assert f'value="m{wood}"' not in office.get(f"{NEW}?pattern=none").text
    said = form(office, f"{NEW}?pattern=none") | LINE | {"bought-0-kind": "m77", "title": "x"}
    assert "There is no such material." in press(office, NEW, said, "reckon").text


def test_a_price_to_try_is_carried_into_the_form(office: FlaskClient) -> None:
    quote = saved(office)
    assert form(office, f"/quotes/{quote}/revise?price=777.50")["price"] == "777.50"


def test_nobody_gets_in_without_saying_who_they_are(client: FlaskClient) -> None:
    assert client.get(NEW).location.startswith("/office")


def test_things_that_are_not_there(office: FlaskClient) -> None:
    for path in ("/quotes/9/revise", "/quotes/99999999999/revise"):
        assert office.get(path).status_code == 404
    said = form(office, f"{NEW}?pattern=1") | {"revision": "999", "customer": "Ola Fen"}
    assert press(office, NEW, said, "save").status_code == 400
