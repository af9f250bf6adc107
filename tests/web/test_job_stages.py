"""The pages on which the stages of a job are changed."""

import re

import pytest
from flask.testing import FlaskClient

from shoptrack.flows.stages_view import stages_view
from shoptrack.store.edits import history
from shoptrack.store.shop import make_station
from shoptrack.store.tools import make_tool
from tests.joinery import NOW, UNA, BusyDay, Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


def fields_of(page: str) -> dict[str, str]:
    """What the large form of a page would send as it stands."""
    form = next(f for f in re.findall(r"<form.*?</form>", page, re.S) if 'class="part st-form"' in f)
    sent = dict(re.findall(r'<input[^>]*? name="([^"]+)"[^>]*? value="([^"]*)"', form))
    ticks = re.findall(r'<input type="checkbox" name="([^"]+)" value="[^"]*"( checked)?', form)
    sent = {k: v for k, v in sent.items() if k not in {name for name, on in ticks if not on}}
    for name, inner in re.findall(r'<select[^>]* name="([^"]+)".*?>(.*?)</select>', form, re.S):
        chosen = re.search(r'<option(?: value="([^"]*)")? selected>([^<]*)', inner)
        sent[name] = (chosen[1] if chosen[1] is not None else chosen[2]) if chosen else ""
    areas = re.findall(r'<textarea[^>]* name="([^"]+)"[^>]*>([^<]*)</textarea>', form)
    return {**sent, **dict(areas)}


def post(client: FlaskClient, path: str, **data: object) -> tuple[int, str]:
    answer = client.post(path, data=data, headers=ORIGIN)
    return answer.status_code, answer.headers.get("Location", answer.text)


def test_the_list_with_its_buttons(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job, inlay = day.letter["job"], day.letter["inlay"]
    page = client.get(f"/jobs/{job}/stages")
    assert "10 inlays, in rounds, 7 done" in text_of(page.text)
    assert f'value="up {inlay} 4"' in page.text
    for _ in range(2):
        status, where = post(client, f"/jobs/{job}/stages", do=f"up {inlay} 4", who=str(UNA))
        assert (status, where) == (303, f"/jobs/{job}/stages#s{inlay}")
    names = [s.name for s in stages_view(joinery.store, job, NOW).stages]
    assert names.index("inlay") == 2
    with joinery.store.reading() as session:
        (line,) = history(session, "stages", inlay)
    assert (line.field, line.person_id) == ("position", UNA)


@pytest.mark.parametrize("do", ["", "up", "up x 1", "sideways 1 1", "up 1 1 1", "up -1 1"])
def test_a_button_that_is_none(client: FlaskClient, day: BusyDay, do: str) -> None:
    assert post(client, f"/jobs/{day.letter['job']}/stages", do=do)[0] == 400


def test_saving_what_the_page_shows_changes_nothing(
    client: FlaskClient, joinery: Joinery, day: BusyDay
) -> None:
    for stage in ("inlay", "oiling", "carving the well"):
        at = f"/jobs/{day.letter['job']}/stages/{day.letter[stage]}"
        status, where = post(client, at, **fields_of(client.get(at).text))
        assert status == 303, where
        with joinery.store.reading() as session:
            assert history(session, "stages", day.letter[stage]) == []


def test_a_change_is_saved_and_what_is_wrong_is_said_beside_the_field(
    client: FlaskClient, day: BusyDay
) -> None:
    at = f"/jobs/{day.letter['job']}/stages/{day.letter['inlay']}"
    sent = fields_of(client.get(at).text)
    status, page = post(client, at, **{**sent, "quantity": "6", "settings": "<b>knife</b>"})
    assert status == 400
    assert "7 are done already" in re.findall(r'id="wrong-quantity">([^<]*)', page)[0]
    assert "&lt;b&gt;knife&lt;/b&gt;" in page
    status, _ = post(client, at, **{**sent, "quantity": "11,5", "clamps-1": "2", "name": "stringing"})
    assert status == 303
    again = fields_of(client.get(at).text)
    assert (again["quantity"], again["clamps-1"], again["name"]) == ("11.5", "2", "stringing")


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("kind", "", "kind"), ("kind", "99", "kind"), ("quantity", "", "quantity"),
        ("quantity", "0", "quantity"),
        ("people", "0", "people"), ("recipe", "77", "recipe"), ("clamps-1", "many", "clamps-1"),
        ("joint", "glued", "joint"), ("name", "x" * 201, "name"),
    ],
)  # fmt: skip
def test_a_new_stage_that_can_not_be(
    client: FlaskClient, joinery: Joinery, field: str, value: str, said: str
) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    at = f"/jobs/{job}/stages/new"
    good = {**fields_of(client.get(at).text), "kind": "4", "quantity": "2", "caution": "sharp"}
    status, page = post(client, at, **{**good, field: value})
    assert status == 400
    assert f'id="wrong-{said}"' in page
    assert "sharp" in page
    assert len(stages_view(joinery.store, job, NOW).stages) == 5


def test_a_stage_is_added_once_with_its_kinds_name(client: FlaskClient, joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    at = f"/jobs/{job}/stages/new"
    sent = {**fields_of(client.get(at).text), "kind": "4", "quantity": "2"}
    assert {post(client, at, **sent)[0] for _ in range(2)} == {303}
    last = stages_view(joinery.store, job, NOW).stages[5:]
    assert [(s.name, s.after) for s in last] == [("inlay", ("oiling",))]


def test_split_taken_out_and_brought_back(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job, at = day.letter["job"], f"/jobs/{day.letter['job']}/stages"
    newest = str(stages_view(joinery.store, job, NOW).newest)
    assert post(client, f"{at}/{day.letter['inlay']}/split", keeps="3", newest=newest)[0] == 400
    assert post(client, f"{at}/{day.letter['inlay']}/split", keeps="8", newest=newest)[0] == 303
    status, page = post(client, f"{at}/{day.letter['inlay']}/out", why="no")
    assert status == 400
    assert "still cures" in page
    carving = day.letter["carving the well"]
    assert post(client, f"{at}/{carving}/out", why="flat is nicer")[0] == 303
    page = client.get(at).text
    assert "Bring carving the well back" in page
    assert post(client, at, do=f"back {carving} 0")[0] == 303
    assert "Bring" not in client.get(at).text


def test_what_is_not_there(client: FlaskClient, day: BusyDay) -> None:
    for path in ("/jobs/999/stages", "/jobs/999/stages/new", f"/jobs/{day.elm['job']}/stages/999"):
        assert client.get(path).status_code == 404
    assert client.get(f"/jobs/{'9' * 30}/stages").status_code == 404


def test_tools_and_their_share_of_the_time(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """A bit that cuts half of the time is chosen, shown, changed and taken away; the history tells it."""
    with joinery.store.writing() as session:
        bit = make_tool(session, "spiral bit", kind="router bit").id
    at = f"/jobs/{day.letter['job']}/stages/{day.letter['inlay']}"
    sent = fields_of(office.get(at).text)
    assert sent[f"cuts-{bit}"] == ""
    for share in ("101", "-1", "half"):
        status, page = post(office, at, **{**sent, f"cuts-{bit}": share, "caution": "kept"})
        assert (status, f'id="wrong-cuts-{bit}"' in page, ">kept</textarea>" in page) == (400, True, True)
    for share in ("50", "33,3", ""):
        assert post(office, at, **{**sent, f"cuts-{bit}": share})[0] == 303
        sent = fields_of(office.get(at).text)
        assert sent[f"cuts-{bit}"] == share.replace(",", ".")
    with joinery.store.reading() as session:
        told = [(x.before, x.after) for x in history(session, "stages", day.letter["inlay"])]
    half, third = ["spiral bit 50 %"], ["spiral bit 33.3 %"]
    assert told == [([], half), (half, third), (third, [])]
    assert "spiral bit 33.3 %" in office.get("/shop/history").text


def test_what_the_shop_can_not_do_is_refused_beside_its_field(
    client: FlaskClient, joinery: Joinery, day: BusyDay
) -> None:
    """Twelve clamps and two people are all there are; a station takes 16 inches."""
    with joinery.store.writing() as session:
        planer = make_station(session, "planer", greatest_width_mm=406.4).id
    at = f"/jobs/{day.letter['job']}/stages/{day.letter['inlay']}"
    sent = {**fields_of(client.get(at).text), "settings": "as typed"}
    for more, field, words in (
        ({"clamps-1": "13"}, "clamps-1", "the shop has 12."),
        ({"people": "3"}, "people", "2 people work here."),
        ({"station": str(planer), "width": "20"}, "width", "The planer takes 16&#34; at most"),
    ):
        status, page = post(client, at, **{**sent, **more})
        assert status == 400
        assert words in re.findall(rf'id="wrong-{field}">([^<]*)', page)[0]
        assert ">as typed</textarea>" in page
    new = f"/jobs/{day.letter['job']}/stages/new"
    fresh = {**fields_of(client.get(new).text), "kind": "4", "quantity": "2", "people": "3"}
    assert post(client, new, **fresh)[0] == 400
    assert post(client, at, **{**sent, "station": str(planer), "width": "15 1/2"})[0] == 303
    again = fields_of(client.get(at).text)
    assert (again["width"], again["length"]) == ("15 1/2", "")
