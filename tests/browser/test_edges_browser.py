"""What is said of an edge at the tablet: kept there first, sent when it can be, and the page follows."""

from playwright.sync_api import Page, expect

from tests.browser.hands import all_sent, open_bench, press, start
from tests.browser.served import Served

TOOLS = (
    "INSERT INTO edge_kinds (id, name, renewed, usual_life_h, away_days, renew_cents, dull_cents, starting)"
    " VALUES (1, 'blade', 'sent', 20, 3, 0, 0, 0)",
    "INSERT INTO tools (id, name, kind_id) VALUES (1, 'saw blade', 1), (2, 'planer knives', 1)",
    "INSERT INTO stage_tools (stage_id, tool_id, share) VALUES (11, 1, 1), (11, 2, 1)",
    "UPDATE head SET revision = revision + 1",
)


def test_a_dull_edge_is_named_by_one_tap_on_the_question(served: Served, tablet: Page) -> None:
    """A board is spoiled by a dull edge; Ben is asked which, and taps the saw: it is in the log as found
    dull, and the question goes at once, before the server has said a word."""
    for sql in TOOLS:
        served.change(sql)
    open_bench(tablet, served)
    start(tablet, "K7")
    tablet.locator("summary", has_text="Spoiled").click()
    press(tablet.get_by_role("button", name="dull edge"))
    all_sent(tablet)
    open_bench(tablet, served)
    asked = tablet.locator('[data-asks$="found-dull"]')
    expect(asked).to_contain_text("Which edge was found dull?")
    expect(asked.get_by_role("button")).to_have_text(["the saw blade", "the planer knives", "no"])
    tablet.context.set_offline(True)
    press(asked.get_by_role("button", name="the saw blade"))
    expect(asked).to_be_hidden()
    tablet.context.set_offline(False)
    all_sent(tablet)
    said = "json_extract(body, '$.tool'), json_extract(body, '$.choice'), person_id"
    assert served.rows(f"SELECT {said} FROM entries WHERE kind = 'edge'") == [(1, "found dull", 2)]
    open_bench(tablet, served)
    expect(tablet.locator('[data-asks$="found-dull"]')).to_have_count(0)
