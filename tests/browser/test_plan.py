"""The plan as a maker with a tablet meets it: followed or not, pinned, tried, kept, cut off, printed."""

import os
import re
import shutil
import signal
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, Page, expect
from sqlalchemy import create_engine, text
from sqlalchemy.orm import Session

from shoptrack.store.tables import JobRow, StageClampRow, StageNeedRow, StageRow
from tests.browser import shop
from tests.browser.conftest import PHONE, TABLET, UPRIGHT
from tests.browser.hands import all_sent, choose, main_button, open_bench, press, rest, wait_for_kinds
from tests.browser.served import Served, wait_for
from tests.browser.test_pages import LEAST_PX, MAIN_PX, TARGETS, enter_office
from tests.browser.test_paper import printed, words

TAGS = [letter + digit for letter in "ACE" for digit in "23456"]
FIRST = 100
SIZES = {"lying": TABLET, "upright": UPRIGHT, "phone": PHONE}
PLANNER = b"shoptrack.flows.planning.worker"


def crowd(instance: Path, now: datetime) -> None:
    """Fifteen panels more, four days of work for three, all promised within three: some will be late."""
    engine = create_engine(f"sqlite:///{instance / 'shop.db'}")
    with Session(engine) as session:
        for n, tag in enumerate(TAGS):
            job = FIRST + n
            promised = (now + timedelta(days=1 + n % 3)).date()
            session.add(JobRow(id=job, tag=tag, title=f"panel for {tag}", customer_id=1, pieces=1,
                               promised_on=promised, added_at=shop.MADE_AT))  # fmt: skip
            session.flush()
            _stages(session, job, 30 + n)
        session.execute(text("UPDATE jobs SET promised_on = :on WHERE id < 100"), {"on": now.date()})
        session.commit()
    engine.dispose()


def _stages(session: Session, job: int, boards: int) -> None:
    mill, glue, flat = (10 * job + place for place in (1, 2, 3))
    plain = {"job_id": job, "attendance": "hands"}
    session.add(StageRow(id=mill, position=1, kind_id=shop.MILLING, name="milling of the panel",
                         quantity=boards, **plain))  # fmt: skip
    session.add(StageRow(id=glue, position=2, name="glue-up of the panel", quantity=4, **plain, **shop.GLUED))
    session.add(StageRow(id=flat, position=3, kind_id=shop.FLATTENING, name="flattening of the panel",
                         quantity=boards, **plain))  # fmt: skip
    session.flush()
    session.add(StageNeedRow(stage_id=glue, needs_id=mill))
    session.add(StageNeedRow(stage_id=flat, needs_id=glue))
    session.add(StageClampRow(stage_id=glue, pool_id=1, count=4, per_piece=False))


@pytest.fixture(scope="module")
def crowded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with more work than days, made once."""
    folder, now = tmp_path_factory.mktemp("crowded"), datetime.now(UTC)  # noqa: TID251 # the machine's clock
    shop.make(folder, now)
    crowd(folder, now)
    return folder


@pytest.fixture
def busy(crowded: Path, tmp_path: Path) -> Iterator[Served]:
    """A copy of that shop for each test, and its planner beside the server."""
    yield from serve_copy(crowded, tmp_path)


@pytest.fixture(scope="module")
def still(crowded: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One copy in which nobody taps."""
    yield from serve_copy(crowded, tmp_path_factory.mktemp("still"))


def serve_copy(crowded: Path, folder: Path) -> Iterator[Served]:
    shutil.copytree(crowded, folder, dirs_exist_ok=True)
    made = Served(folder)
    made.start()
    yield made
    made.stop()


def shown_next(page: Page) -> tuple[str, str]:
    """What the Bench says is next, and why."""
    return page.locator("#next h1").inner_text(), page.locator("#next .because").inner_text()


def said_of(page: Page, served: Served, name: str) -> str:
    """What the Floor says of a person."""
    page.goto(f"{served.address}/")
    return page.locator(".person", has_text=name).inner_text()


def today_of(page: Page) -> date:
    """Today on the shop's wall: the first day that can be chosen."""
    return date.fromisoformat(page.locator('input[name="on"]').get_attribute("min") or "")


def workers(served: Served) -> list[int]:
    """The worker processes of the server: its children that look for plans."""
    assert served.process is not None
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((folder / "stat").read_text().rpartition(")")[2].split()[1])
            ours = parent == served.process.pid and PLANNER in (folder / "cmdline").read_bytes()
        except (OSError, ValueError):
            continue
        if ours:
            found.append(int(folder.name))
    return found


def test_the_bench_says_what_is_next_and_why_and_the_plan_follows_the_hand(
    busy: Served, tablet: Page
) -> None:
    """Ben starts something else than what is next: it is in hand by the plan at once, on Floor and Plan."""
    open_bench(tablet, busy)
    name, why = shown_next(tablet)
    assert len(why) > 8
    floor = said_of(tablet, busy, "Ben")
    assert name.split()[0] in floor
    open_bench(tablet, busy)
    other = tablet.locator("#next .choices li[data-stage]").last
    tag = other.locator(".tag").inner_text()
    assert tag != name.split()[0]
    press(other.locator("form button").first)
    expect(tablet.locator("#hand h1")).to_contain_text(tag)
    all_sent(tablet)
    after = said_of(tablet, busy, "Ben")
    assert tag in after
    assert after != floor
    tablet.goto(f"{busy.address}/plan")
    lane = tablet.locator(".plan-today .plan-lane", has=tablet.get_by_role("heading", name="Ben", exact=True))
    first = lane.locator(".plan-label").first
    expect(first).to_contain_text(tag)
    expect(first).to_contain_text("in hand now")
    assert lane.locator(".plan-hand").count()


def test_a_stage_is_pinned_to_a_day_let_go_and_its_job_put_aside(busy: Served, tablet: Page) -> None:
    """A tap on a stage of today opens it; pinned to the third day from now it is begun then, by Cleo.

    Put aside, its job leaves the plan, and a sentence says so.
    """
    tablet.goto(f"{busy.address}/plan")
    label = tablet.locator(".plan-today .plan-label:not(.plan-tag-only)").first
    stage = (label.get_attribute("href") or "").rpartition("/")[2]
    tag = label.locator("b").first.inner_text()
    label.tap()
    tablet.wait_for_url("**/plan/stages/*")
    on = today_of(tablet) + timedelta(days=3)
    tablet.get_by_label("begin it on").fill(on.isoformat())
    tablet.locator("#person").select_option(label="Cleo")
    tablet.get_by_role("button", name="Pin it").tap()
    expect(tablet.get_by_role("button", name="Move the pin")).to_be_visible()
    first = tablet.locator(".plan-turns li").first
    expect(first).to_contain_text(f"{on.day} ")
    expect(first).to_contain_text("Cleo")
    tablet.goto(f"{busy.address}/plan")
    pinned = tablet.locator(f'.plan-day:has(#d{on}) .plan-label[href="/plan/stages/{stage}"]')
    expect(pinned.first).to_contain_text("pinned")
    assert tablet.locator(f'.plan-today .plan-label[href="/plan/stages/{stage}"]').count() == 0
    tablet.goto(f"{busy.address}/plan/stages/{stage}")
    tablet.get_by_role("button", name="Take the pin out").tap()
    expect(tablet.get_by_role("button", name="Pin it")).to_be_visible()
    tablet.goto(f"{busy.address}/plan")
    assert "pinned" not in tablet.locator(".plan").inner_text()
    assert tag in tablet.locator(".plan-words b").all_inner_texts()
    tablet.goto(f"{busy.address}/plan/stages/{stage}")
    tablet.locator("#say-put-aside .causes button").first.tap()
    tablet.wait_for_url("**/plan")
    left = tablet.locator(".lists li", has=tablet.get_by_role("link", name=tag, exact=True))
    expect(left.first).to_contain_text("put aside")
    assert tag not in tablet.locator(".plan-words b").all_inner_texts()


def test_what_if_somebody_is_away_is_tried_forgotten_and_kept(busy: Served, tablet: Page) -> None:
    """Ben off for the rest of today and everybody tomorrow: dates move; only what is kept is written down."""
    enter_office(tablet, busy)
    before = said_of(tablet, busy, "Ben")
    _try(tablet, busy)
    assert tablet.locator(".plan-jobs tbody tr").count() > 2
    moved = tablet.locator('.plan-jobs td[data-what="that is"]').all_inner_texts()
    assert sum("later" in each for each in moved) > 2
    expect(tablet.get_by_role("listitem").filter(has_text="Ben nothing in place of")).to_have_count(1)
    tablet.get_by_role("link", name="Forget them").tap()
    expect(tablet.locator(".plan-chosen")).to_have_count(0)
    assert busy.rows("SELECT count(*) FROM days_off") == [(0,)]
    assert said_of(tablet, busy, "Ben").splitlines()[0] == before.splitlines()[0]
    _try(tablet, busy)
    tablet.get_by_role("button", name="Keep them").tap()
    tablet.wait_for_url("**/plan")
    expect(tablet.locator(".plan-today .plan-lanes")).to_contain_text("day off")
    assert tablet.locator(".plan-shut", has_text="the shop is closed").count() == 1
    tablet.goto(f"{busy.address}/")
    expect(tablet.locator(".away")).to_contain_text("Ben")
    expect(tablet.locator(".person-name", has_text="Ben")).to_have_count(0)


def _try(page: Page, served: Served) -> None:
    page.goto(f"{served.address}/plan/what-if")
    today = date.fromisoformat(page.locator('[name="off_on"]').get_attribute("min") or "")
    for who, on in (("Ben", today), ("everybody", today + timedelta(days=1))):
        page.locator('[name="off_person"]').select_option(label=who)
        page.locator('[name="off_on"]').fill(on.isoformat())
        page.locator("#if-off button").tap()
        expect(page.locator(".plan-chosen li", has_text=who.replace("everybody", "all"))).to_have_count(1)


def test_cut_off_the_bench_still_says_what_it_said_and_keeps_the_taps(busy: Served, tablet: Page) -> None:
    """The server's plug is pulled: what was next stays with its reason, the start is kept, and sent later."""
    open_bench(tablet, busy)
    wait_for("the spare pages are there", lambda: tablet.evaluate("performance.getEntriesByType('resource')"
             ".filter(each => each.name.endsWith('/spare')).length >= 3"))  # fmt: skip
    said = shown_next(tablet)
    busy.kill()
    tablet.context.set_offline(True)
    rest(tablet)
    assert shown_next(tablet) == said
    choose(tablet, "Ann")
    choose(tablet, "Ben")
    assert shown_next(tablet) == said
    press(tablet.locator("#next .one-thing form button").first)
    expect(tablet.locator("#hand h1")).to_contain_text(said[0].split()[0])
    press(main_button(tablet, "Ben: done"))
    expect(tablet.locator("#unsent")).to_contain_text("saved, not sent: 2")
    busy.start()
    tablet.context.set_offline(False)
    all_sent(tablet)
    wait_for_kinds(busy, ["start", "finish"])


def test_a_worker_that_is_killed_takes_nothing_with_it(busy: Served, tablet: Page) -> None:
    """kill -9 while it looks for a better plan: the plan is shown as it was, and another worker comes."""
    tablet.goto(f"{busy.address}/plan")
    tasks = len(_stages_shown(tablet))
    assert tasks > 30
    wait_for("a worker looks for a better plan", lambda: workers(busy))
    old = workers(busy)
    for pid in old:
        os.kill(pid, signal.SIGKILL)
    tablet.reload()
    assert len(_stages_shown(tablet)) == tasks
    wait_for("another worker comes", lambda: set(workers(busy)) - set(old))
    tablet.reload()
    assert len(_stages_shown(tablet)) == tasks
    assert not busy.dead


def _stages_shown(page: Page) -> set[str]:
    """The stages that the plan shows anywhere: what it holds, whatever its order is."""
    return set(page.locator(".plan-label").evaluate_all("all => all.map(each => each.getAttribute('href'))"))


def test_a_week_on_paper_has_the_persons_stages(still: Served, tablet: Page) -> None:
    """Each day with all that the Plan gives Ben on it, on paper that a printer takes."""
    tablet.goto(f"{still.address}/plan/week/{shop.BEN}")
    expect(tablet.get_by_role("heading", level=1)).to_contain_text("Week of")
    stages = tablet.locator(".plan-week .stage-name").all_inner_texts()
    assert len(stages) > 4
    pdf = " ".join(words(page) for page in printed(tablet, "A4").pages)
    assert "Ben" in pdf
    for stage in stages:
        assert re.sub(r"\s+", " ", stage) in pdf
    assert "back to the Plan" not in pdf


def test_every_page_of_the_plan_is_for_every_hand_and_eye(
    still: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """Both ways to hold a tablet and a phone: 44 px, no sideways scrolling, and axe finds nothing."""
    wrong, measured = [], 0
    for name, size in SIZES.items():
        page = enter_office(context_of(**size).new_page(), still)
        page.goto(f"{still.address}/plan/what-if")
        off = f"off.{shop.BEN}.{page.locator('[name=off_on]').get_attribute('min')}"
        for path in ("", f"/stages/{10 * FIRST + 1}", f"/what-if?c={off}", f"/week/{shop.BEN}"):
            page.goto(f"{still.address}/plan{path}")
            page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
            for what, width, height, main in page.evaluate(TARGETS):
                measured += 1
                if height < (MAIN_PX if main else LEAST_PX) - 0.5 or width < LEAST_PX - 0.5:
                    wrong.append(f"{name} {path}: {what} is {width:.0f} × {height:.0f}")
            if (over := page.evaluate("document.documentElement.scrollWidth - innerWidth")) > 0:
                wrong.append(f"{name} {path}: scrolls sideways by {over} px")
            if size is TABLET:
                found = Axe().run(page).response["violations"]
                wrong += [f"{name} {path}: {v['id']} {v['nodes'][0]['html'][:120]}" for v in found]
    assert not wrong, "\n".join(wrong)
    assert measured > 200
