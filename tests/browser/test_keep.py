"""Keeping for next time, by touch: one tap after the finish, and the words stay where the network is gone."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import create_engine, update
from sqlalchemy.orm import Session

from shoptrack.store.tables import JobRow, PatternRevisionRow, PatternRow, StageRow
from tests.browser import shop
from tests.browser.hands import all_sent, main_button, open_bench, press, start
from tests.browser.served import Served


@pytest.fixture
def patterned(tmp_path: Path) -> Iterator[Served]:
    """The shop, its box B4 made from a pattern."""
    shop.make(tmp_path, datetime.now(UTC))  # noqa: TID251 # the browser's clock is the machine's
    engine = create_engine(f"sqlite:///{tmp_path / 'shop.db'}")
    with Session(engine) as session:
        session.add(PatternRow(id=1, name="serving board"))
        session.flush()
        session.add(PatternRevisionRow(id=1, pattern_id=1, number=1, made_at=shop.MADE_AT))
        session.flush()
        session.execute(update(JobRow).where(JobRow.id == shop.BOARD).values(pattern_revision_id=1))
        of_it = update(StageRow).where(StageRow.job_id == shop.BOARD)
        session.execute(of_it.values(line=StageRow.position))
        session.commit()
    engine.dispose()
    made = Served(tmp_path)
    made.start()
    yield made
    made.stop()


def kept(served: Served) -> list[tuple[object, ...]]:
    return served.rows("SELECT line, stage_id, person_id, trouble FROM last_times")


def test_one_tap_keeps_it_and_without_a_network_the_words_stay(tablet: Page, patterned: Served) -> None:
    open_bench(tablet, patterned)
    start(tablet, "B4")
    press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    words = tablet.get_by_placeholder("what went wrong, if anything")
    words.fill("knives were dull")
    tablet.context.set_offline(True)
    press(tablet.locator(".keep button"))
    expect(tablet.locator(".keep button")).to_have_text("No network: press again later")
    expect(words).to_have_value("knives were dull")
    assert kept(patterned) == []
    tablet.context.set_offline(False)
    press(tablet.locator(".keep button"))
    expect(tablet.locator(".keep")).to_contain_text("kept for next time")
    expect(tablet.locator(".keep")).to_contain_text("knives were dull")
    assert [tuple(row) for row in kept(patterned)] == [(1, 21, 2, "knives were dull")]


def test_half_typed_words_keep_the_page(tablet: Page, patterned: Served) -> None:
    """After half a minute the names are back, but not while words stand there that were not sent."""
    tablet.clock.install()
    open_bench(tablet, patterned)
    start(tablet, "B4")
    press(main_button(tablet, "Ben: done"))
    all_sent(tablet)
    words = tablet.get_by_placeholder("what went wrong, if anything")
    words.fill("knives were dull")
    words.blur()
    tablet.clock.run_for(60_000)
    expect(words).to_have_value("knives were dull")
    words.fill("")
    tablet.clock.run_for(60_000)
    expect(tablet.locator("main[data-bench=names]")).to_have_count(1)
