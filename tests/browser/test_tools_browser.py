"""The Tools screen in a real browser: taps on edges are kept first, then sent, and can be taken back."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import rest
from tests.browser.served import Served, wait_for
from tests.browser.tooling import press_deed, tapped, write_saw


@pytest.fixture
def tools(served: Served, tablet: Page) -> Page:
    """The Tools screen with a saw, blade A on it."""
    write_saw(tablet, served)
    tablet.goto(f"{served.address}/tools")
    return tablet


def deeds(served: Served) -> list[str]:
    """What the log says of edges, in order, with what was struck."""
    rows = served.rows("SELECT kind, json_extract(body, '$.choice') FROM entries ORDER BY n")
    return [choice or kind for kind, choice in rows if kind in ("edge", "strike")]


def test_found_dull_swapped_and_taken_back(served: Served, tools: Page) -> None:
    tapped(tools, served, "Found dull")
    assert deeds(served) == ["fitted", "found dull"]
    expect(tools.locator(".edge-out")).to_have_text("Found dull: out of service until it is sharp again.")
    press_deed(tools, "blade B on")
    expect(tools.locator("#did-words")).to_have_text("panel saw, blade B: put on")
    expect(tools.locator(".edge-words").first).to_contain_text("blade B on it since")
    rest(tools)
    tools.get_by_role("button", name="Undo").tap()
    expect(tools.locator("#did")).to_be_hidden()
    expect(tools.locator(".edge-words").first).to_contain_text("blade A on it since")
    assert deeds(served) == ["fitted", "found dull", "fitted", "strike"]


def test_a_tap_without_a_network_is_kept_and_sent_later(served: Served, tools: Page) -> None:
    """Half an hour ago, by Ann: that holds too. Taken back before it was sent, both arrive in their order."""
    tools.get_by_role("link", name="Ann").tap()
    tools.get_by_role("link", name="30 min ago").tap()
    expect(tools.get_by_role("link", name="30 min ago")).to_have_attribute("aria-current", "true")
    served.kill()
    press_deed(tools, "Found dull")
    expect(tools.locator("#did")).to_contain_text("– saved")
    expect(tools.locator("#unsent")).to_contain_text("saved, not sent: 1")
    rest(tools)
    tools.get_by_role("button", name="Undo").tap()
    expect(tools.locator("#unsent")).to_contain_text("saved, not sent: 2")
    served.start()
    wait_for("both taps came", lambda: deeds(served) == ["fitted", "found dull", "strike"])
    expect(tools.locator(".edge-words").first).to_contain_text("blade A on it since")
    expect(tools.locator("#did")).to_be_hidden()
    ago = "(julianday(tapped_at) - julianday(at)) * 1440"
    tap = f"SELECT name, {ago} FROM entries JOIN people ON people.id = person_id WHERE kind = 'edge'"
    _, (name, minutes) = served.rows(f"{tap} ORDER BY n")
    assert (name, minutes) == ("Ann", pytest.approx(30, abs=0.1))


def test_a_double_tap_counts_once(served: Served, tools: Page) -> None:
    tools.get_by_role("button", name="Found dull").first.dblclick()
    tools.wait_for_url(re.compile("did="))
    assert deeds(served) == ["fitted", "found dull"]
