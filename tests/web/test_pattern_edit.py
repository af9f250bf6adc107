"""Patterns are written down and changed by plain forms, one stage open at a time; nothing typed is lost."""

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from shoptrack.flows.patterns import PatternView, pattern_view
from shoptrack.store.patterns import PatternStage, revise_pattern
from tests.joinery import NOW, PIET, Joinery
from tests.web.conftest import ORIGIN
from tests.web.filled import filled

REVISE = "/patterns/1/revise"


def press(
    client: FlaskClient, page: TestResponse, button: str, to: str = REVISE, **typed: str
) -> TestResponse:
    """A button of the draft, with what was typed since the page came."""
    sent = {**filled(page.text, "draft"), **{k.replace("_0_", "-0-"): v for k, v in typed.items()}}
    return client.post(to, data={**sent, "do": button}, headers=ORIGIN)


def view(shop: Joinery, pattern: int = 1) -> PatternView:
    return pattern_view(shop.store, pattern, None, NOW)


def test_a_pattern_is_written_stage_by_stage(office: FlaskClient, joinery: Joinery) -> None:
    """Milling, a glue-up after it with six clamps, and oil by itself; saved, it is there to read."""
    new, kinds = "/patterns/new", {name: str(id_) for name, id_ in joinery.kinds.items()}
    page = press(office, office.get(new), "after-n1", new, kind=kinds["milling"], per_piece="2")
    assert filled(page.text, "draft")["need-0-stage"] == "n1"
    glue = {
        "kind": kinds["glue-up"],
        "name": "panel",
        "per_piece": "3",
        "clamp_0_pool": "1",
        "clamp_0_count": "6",
    }
    page = press(office, page, "branch", new, **glue)
    oil = {"kind": kinds["finishing"], "fixed": "2", "rounds": "yes", "pattern_name": "bread board"}
    answer = press(office, page, "save", new, **oil, note="first of its kind")
    assert answer.status_code == 303
    made = view(joinery, int(answer.headers["Location"].rpartition("/")[2]))
    assert (made.name, made.shown.who, made.shown.note) == ("bread board", "Una", "first of its kind")
    assert [(s.name, s.fixed, s.per_piece, s.line) for s in made.stages] == [
        ("milling", 0, 2, 1), ("panel", 0, 3, 2), ("finishing", 2, 0, 3),
    ]  # fmt: skip
    assert [n.position for n in made.stages[1].needs] == [1]
    assert made.stages[1].clamps[0].count == 6


def test_saved_unchanged_it_stays_the_revision_it_was(office: FlaskClient, joinery: Joinery) -> None:
    """Also after every stage was opened and shut."""
    page = office.get(REVISE)
    for line in range(1, 6):
        page = press(office, page, f"open-{line}")
        assert page.status_code == 200
    assert press(office, page, "save").status_code == 303
    assert view(joinery).newest == 1


def test_a_change_is_a_new_revision_and_leaves_the_old(office: FlaskClient, joinery: Joinery) -> None:
    page = office.get(f"{REVISE}?open=2")
    answer = press(office, page, "save", depth="5/16", note="deeper")
    assert answer.headers["Location"] == "/patterns/1"
    assert (view(joinery).newest, view(joinery).stages[1].settings) == (2, "depth: 5/16\ncauls waxed")
    assert pattern_view(joinery.store, 1, 1, NOW).stages[1].settings == "cauls waxed"
    assert [s.line for s in view(joinery).stages] == [1, 2, 3, 4, 5]


@pytest.mark.parametrize(
    ("line", "typed", "reason"),
    [
        (1, {"per_piece": "", "fixed": ""}, "how much of it there is"),
        (1, {"per_piece": "lots"}, "must be a number"),
        (1, {"people": "3"}, "It wants 3 at once; 2 people work here"),
        (1, {"need_0_stage": "2"}, "These stages wait for each other"),
        (2, {"clamp_0_count": "13"}, "the shop has 12"),
        (3, {"need_0_most": "2 h"}, "can’t be worked on until 24 h after"),
        (3, {"need_0_by_rounds": "yes"}, "is not done in rounds"),
        (2, {"name": "<script>x</script>", "people": "99"}, "must be a whole number"),
    ],
)
def test_what_can_not_be_done_is_said_and_what_was_typed_stays(
    office: FlaskClient, joinery: Joinery, line: int, typed: dict[str, str], reason: str
) -> None:
    page = office.get(f"{REVISE}?open={line}")
    answer = press(office, page, "save", note="my note", pattern_name="my tray", **typed)
    assert (answer.status_code, view(joinery).newest) == (400, 1)
    assert reason in answer.text
    assert "<script>x" not in answer.text
    back = filled(answer.text, "draft")
    wanted = {k.replace("_0_", "-0-"): v for k, v in typed.items()}
    assert {k: back.get(k, "") for k in wanted} == wanted
    assert (back["note"], back["pattern_name"], back["open"]) == ("my note", "my tray", str(line))


def test_what_is_wrong_with_a_stage_that_is_shut_opens_it(office: FlaskClient) -> None:
    page = press(office, office.get(f"{REVISE}?open=1"), "open-4", people="9")
    assert filled(page.text, "draft")["open"] == "4"
    answer = press(office, page, "save")
    assert filled(answer.text, "draft")["open"] == "1"
    assert "It wants 9 at once" in answer.text


def test_the_second_of_two_sees_the_difference_and_loses_nothing(
    office: FlaskClient, joinery: Joinery
) -> None:
    """Piet saves another milling while Una writes a caution: she is told, and takes his change over."""
    page = office.get(f"{REVISE}?open=3")
    with joinery.store.writing() as session:
        stages = [PatternStage(joinery.kinds["milling"], "mill and thickness", per_piece=2, line=1)]
        stages += view(joinery).stages[1:]
        revise_pattern(session, 1, stages=stages, now=NOW, who=PIET)
    told = press(office, page, "save", caution="mask on")
    assert told.status_code == 409
    assert "Piet saved revision 2 while you were at this" in told.text
    assert "mill and thickness" in told.text
    assert filled(told.text, "draft")["caution"] == "mask on"
    assert view(joinery).newest == 2
    both = press(office, told, "merge")
    assert press(office, both, "save").status_code == 303
    newest = view(joinery)
    assert (newest.newest, newest.stages[0].name, newest.stages[2].caution) == (
        3,
        "mill and thickness",
        "mask on",
    )


def test_or_saves_hers_as_it_is(office: FlaskClient, joinery: Joinery) -> None:
    page = office.get(f"{REVISE}?open=3")
    with joinery.store.writing() as session:
        revise_pattern(session, 1, stages=view(joinery).stages[:2], now=NOW)
    told = press(office, page, "save", caution="mask on")
    assert "Somebody saved revision 2" in told.text
    assert press(office, told, "save").status_code == 303
    assert [s.line for s in view(joinery).stages] == [1, 2, 3, 4, 5]


def test_a_form_sent_twice_makes_one_revision(office: FlaskClient, joinery: Joinery) -> None:
    page = office.get(f"{REVISE}?open=1")
    assert [press(office, page, "save", caution="gloves").status_code for _ in range(2)] == [303, 303]
    assert view(joinery).newest == 2


def test_a_name_that_is_taken_is_said_beside_it(office: FlaskClient) -> None:
    answer = press(office, office.get(REVISE), "save", pattern_name="door")
    assert answer.status_code == 400
    assert "There is a pattern called “door” already." in answer.text
    assert press(office, office.get(REVISE), "save", pattern_name=" ").status_code == 400


def test_a_broken_draft_is_one_plain_sentence(office: FlaskClient) -> None:
    answer = office.post(REVISE, data={"draft": "{", "do": "save", "base": "1"}, headers=ORIGIN)
    assert answer.status_code == 400
    assert "go back to the page before" in answer.text
    assert office.post(REVISE, data={"base": "9"}, headers=ORIGIN).status_code == 404
    assert office.get("/patterns/99/revise").status_code == 404


def test_the_office_asks_who_it_is(client: FlaskClient) -> None:
    for path in (REVISE, "/patterns/new"):
        assert client.get(path).headers["Location"].startswith("/office?back=")
        assert client.post(path, data={}, headers=ORIGIN).status_code == 403
