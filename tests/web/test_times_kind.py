"""One kind of stage: asked for a measure, its rule of thumb said anew, its patterns, months and logs."""

import pytest
from flask.testing import FlaskClient

from shoptrack.store.tables import EditRow, RuleRow, StageKindRow
from tests.crawled import read
from tests.joinery import NOW, Joinery
from tests.times import bring_in, charts_of, mill, text_of
from tests.web.conftest import ORIGIN

MILLING, GLUE_UP = 1, 2


def test_a_measure_and_a_pattern_are_asked(client: FlaskClient, joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", [70.0] * 12, quantity=3, pattern=1)
    words = text_of(client.get("/times/2?quantity=6&pattern=1").text)
    assert "6 joints of tray: " in words
    assert "12 logged, 12 of this pattern, scaled by joints: half under" in words
    assert "Untested: 12 logged, none of this pattern" in text_of(client.get("/times/2?pattern=2").text)


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("quantity=-2", "quantity"),
        ("quantity=nan", "quantity"),
        ("quantity=<script>", "quantity"),
        ("pattern=99", "pattern"),
        ("pattern=x", "pattern"),
        ("page=0", "page"),
    ],
)
def test_a_slip_of_the_pen_is_said_beside_its_field(client: FlaskClient, query: str, field: str) -> None:
    answer = client.get(f"/times/1?{query}")
    assert answer.status_code == 400
    if field != "page":
        assert f'id="wrong-{field}"' in answer.text
    typed = dict(read("/times/1", answer.text).forms[0].fields)
    assert typed["quantity"] == (query.partition("=")[2] if field == "quantity" else "1")


def test_the_rule_of_thumb_is_said_anew_from_now(office: FlaskClient, joinery: Joinery) -> None:
    """With its line of history; said again it is the same."""
    for _ in range(2):
        answer = office.post("/times/1/rule", data={"setup": "25", "rate": "12.5 min"}, headers=ORIGIN)
        assert (answer.status_code, answer.headers["Location"]) == (303, "/times/1#rule")
    assert "rule of thumb 25 min set-up, 12.5 min each" in text_of(office.get("/times/1").text)
    with joinery.store.reading() as session:
        rules = session.query(RuleRow).filter_by(kind_id=MILLING).order_by(RuleRow.from_at).all()
        assert [(r.setup_min, r.rate_min, r.from_at == NOW) for r in rules] == [
            (15, 10, False),
            (25, 12.5, True),
        ]
        edits = session.query(EditRow).filter_by(table_name="rules_of_thumb").all()
        assert {(e.field, e.person_id) for e in edits} >= {("setup_min", 1), ("rate_min", 1)}


def test_a_rule_that_can_not_be_loses_nothing(office: FlaskClient) -> None:
    answer = office.post("/times/1/rule", data={"setup": "soon", "rate": "7"}, headers=ORIGIN)
    assert answer.status_code == 400
    typed = dict(next(f for f in read("/times/1", answer.text).forms if f.action.endswith("/rule")).fields)
    assert (typed["setup"], typed["rate"]) == ("soon", "7")
    assert 'id="wrong-setup"' in answer.text
    assert office.post("/times/99/rule", data={"rate": "7"}, headers=ORIGIN).status_code == 404


def test_made_what_was_learned(office: FlaskClient, joinery: Joinery) -> None:
    """It asks with the values shown; the form says these very values; then nothing is left to make."""
    bring_in(joinery, "glue-up", [140.0] * 30, quantity=3)
    assert 'href="/times/2/learned"' in office.get("/times/2").text
    page = office.get("/times/2/learned")
    assert "it is 10 min set-up, 20 min each it would be " in text_of(page.text)
    (form,) = [f for f in read("/times/2/learned", page.text).forms if f.action == "/times/2/rule"]
    assert office.post(form.action, data=dict(form.fields), headers=ORIGIN).status_code == 303
    with joinery.store.reading() as session:
        rule = session.query(RuleRow).filter_by(kind_id=GLUE_UP).order_by(RuleRow.from_at.desc()).first()
        assert rule is not None
        assert 130 < rule.setup_min + 3 * rule.rate_min < 145


def test_of_nothing_logged_nothing_was_learned(office: FlaskClient) -> None:
    assert "/times/1/learned" not in office.get("/times/1").text
    assert office.get("/times/1/learned").status_code == 404


def test_months_patterns_and_logs_of_a_kind(client: FlaskClient, joinery: Joinery) -> None:
    bring_in(joinery, "milling", [60.0] * 70, pattern=1)
    mill(joinery, "six trays, elm", 70, -2)
    page = client.get("/times/1")
    words = text_of(page.text)
    assert "Logged, page 1 of 2" in words
    assert "six trays, elm tray milling 4 boards 1 h 10 Una" in words
    assert "tray " in words[words.index("By pattern") :]
    months, *_ = charts_of(page.text)
    assert months["name"] == "milling by month"
    assert [len(s["x"]) for s in months["series"]][1] == 2  # type: ignore[attr-defined] # the rule of thumb
    assert "Jan 2026 27 " in words


def test_a_kind_without_a_rule_of_thumb(office: FlaskClient, joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        session.query(RuleRow).delete()
    words = text_of(office.get("/times/1").text)
    assert "Nothing can be foretold yet: say a rule of thumb, or log one of them." in words
    assert "rule of thumb none yet" in text_of(office.get("/times").text)
    bring_in(joinery, "milling", [60.0, 70.0], quantity=4)
    assert "4 boards: " in text_of(office.get("/times/1").text)


def test_a_retired_kind_is_read_and_no_more(office: FlaskClient, joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", [60.0])
    with joinery.store.writing() as session:
        row = session.get(StageKindRow, GLUE_UP)
        assert row is not None
        row.retired_at = NOW
    assert "No longer used: 1 glue-up 1 logged" in text_of(office.get("/times").text)
    page = office.get("/times/2")
    assert "/times/2/rule" not in page.text
    assert "No longer used." in page.text
