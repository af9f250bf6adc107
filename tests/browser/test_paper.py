"""What comes out of a printer, and what a camera makes of the code on it."""

import io
import re
import unicodedata
from collections.abc import Callable

import pytest
import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import BrowserContext, Page
from pypdf import PageObject, PdfReader
from sqlalchemy import create_engine
from sqlalchemy.orm import Session

from shoptrack.store.tables import JobRow, StageNeedRow, StageRow
from tests.browser.conftest import PHONE, TABLET
from tests.browser.served import Served
from tests.browser.shop import FINISHING, GLUE_UP, MADE_AT, MILLING, PANEL
from tests.browser.test_pages import LEAST_PX, MAIN_PX, TARGETS

LONG = 90
STAGES = 26
SIZES = {"A4": (595, 842), "Letter": (612, 792)}  # points: ISO 216 and ANSI Y14.1, from memory
PAPER = (f"/jobs/{PANEL}/sheet", "/curing", "/calendar")


@pytest.fixture
def long_job(served: Served) -> Served:
    """A job of many stages, some of them wordy, each marked where it begins and where it ends."""
    served.stop()
    engine = create_engine(f"sqlite:///{served.instance / 'shop.db'}")
    with Session(engine) as session:
        job = JobRow(id=LONG, tag="W77", title="a long table", customer_id=1, pieces=3, added_at=MADE_AT)
        job.price_cents = 987_654
        session.add(job)
        session.flush()
        session.add_all(stage(n) for n in range(1, STAGES + 1))
        session.flush()
        session.add_all(StageNeedRow(stage_id=1000 + n, needs_id=999 + n) for n in range(2, STAGES + 1))
        session.commit()
    engine.dispose()
    served.start()
    return served


def stage(n: int) -> StageRow:
    kind = (MILLING, GLUE_UP, FINISHING)[n % 3]
    settings = ["fence at 3", "W" * 150, "a setting of many words " * 20][n % 3]
    return StageRow(
        id=1000 + n,
        job_id=LONG,
        position=n,
        kind_id=kind,
        name=f"begin-{n:02d}",
        quantity=n + 0.5 if kind == MILLING else n,
        rounds=kind == FINISHING,
        recipe_id={GLUE_UP: 1, FINISHING: 2}.get(kind),
        settings=settings,
        caution=f"end-{n:02d}: mind the blade.",
    )


def printed(page: Page, paper: str) -> PdfReader:
    return PdfReader(io.BytesIO(page.pdf(format=paper)))


def words(page: PageObject) -> str:
    """The text of a printed page; "ﬁ" and "ﬀ" are printed as one letter each."""
    return re.sub(r"\s+", " ", unicodedata.normalize("NFKC", page.extract_text()))


@pytest.mark.parametrize("paper", SIZES)
def test_a_long_sheet_is_cut_between_stages_and_headed_on_each_page(
    long_job: Served, tablet: Page, paper: str
) -> None:
    tablet.goto(f"{long_job.address}/jobs/{LONG}/sheet")
    pdf = printed(tablet, paper)
    width, height = SIZES[paper]
    assert all(
        abs(p.mediabox.width - width) < 1.5 and abs(p.mediabox.height - height) < 1.5 for p in pdf.pages
    )
    pages = [words(p) for p in pdf.pages]
    assert 3 <= len(pages) <= 8
    for number, text in enumerate(pages, 1):
        for said in (
            "W77",
            "a long table",
            "A customer",
            "no. stage start finish min.",
            f"{number} / {len(pages)}",
        ):
            assert said in text, (number, said)
    for n in range(1, STAGES + 1):
        begins = [
            i for i, text in enumerate(pages) if re.search(rf"\bbegin-{n:02d} (?:milling|glue|finish)", text)
        ]
        ends = [i for i, text in enumerate(pages) if f"end-{n:02d}" in text]
        assert begins == ends, f"stage {n} is cut"
        assert len(ends) == 1
    whole = " ".join(pages)
    for said in ("1.5 boards", "4 joints", "5 coats", "white glue", "clamps off 1 h", "after 3 begin-03"):
        assert said in whole, said
    assert whole.count("licensed practice decide") == STAGES
    assert "9,876" not in whole


def test_nothing_is_clipped_and_ink_is_black_whatever_paper_the_viewer_chose(
    long_job: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """A4 less its margins is 186 mm, 703 px: nothing reaches further, and no page is printed grey on grey."""
    page = context_of(viewport={"width": 703, "height": 990}, is_mobile=False, color_scheme="dark").new_page()
    page.goto(f"{long_job.address}/jobs/{LONG}/sheet")
    for look in ("", "glare"):
        page.evaluate("(look) => document.documentElement.className = look", look)
        page.emulate_media(media="print", color_scheme="dark")
        assert page.evaluate("document.documentElement.scrollWidth") <= 703
        wrong = page.evaluate("""() => [...document.querySelectorAll('.job-sheet *')].filter((each) => {
          const drawn = getComputedStyle(each), box = each.getBoundingClientRect();
          return drawn.color !== 'rgb(0, 0, 0)' || box.right > innerWidth + 0.5
            || each.scrollWidth > each.clientWidth + 1 && drawn.display !== 'inline';
        }).map((each) => each.outerHTML.slice(0, 80))""")
        assert wrong == []
        assert page.evaluate("getComputedStyle(document.querySelector('.block')).display") == "none"
        assert not page.locator("#print").is_visible()


def test_a_camera_reads_the_code_and_it_opens_the_job(
    served: Served, context_of: Callable[..., BrowserContext]
) -> None:
    """From the drawing alone, and from the sheet on a dark screen."""
    page = context_of(color_scheme="dark", is_mobile=False).new_page()
    page.goto(f"{served.address}/jobs/{PANEL}/code.svg")
    (found,) = read(page.screenshot())
    assert found == f"{served.address}/j/K7"
    page.goto(f"{served.address}/jobs/{PANEL}/sheet")
    assert read(page.locator(".code").screenshot()) == [found]
    page.goto(found)
    assert page.url == f"{served.address}/jobs/{PANEL}"


def read(png: bytes) -> list[str]:
    return [code.text for code in zxingcpp.read_barcodes(Image.open(io.BytesIO(png)).convert("L"))]


def test_the_calendars_code_says_its_address(served: Served, tablet: Page) -> None:
    enter(tablet, served)
    tablet.goto(f"{served.address}/calendar")
    tablet.get_by_role("button", name="Make its address").click()
    address = tablet.locator(".feed-address").inner_text()
    assert read(tablet.locator(".feed-code").screenshot()) == [address.replace("http:", "webcal:")]
    assert tablet.request.get(address).text().startswith("BEGIN:VCALENDAR")


def enter(page: Page, served: Served) -> None:
    page.goto(f"{served.address}/office?back=/curing")
    page.locator("button[name=person]").first.click()


@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
def test_paper_on_the_screen_is_for_every_hand_and_eye(
    served: Served, context_of: Callable[..., BrowserContext], size: dict[str, object]
) -> None:
    page = context_of(**size).new_page()
    enter(page, served)
    wrong = []
    for path in PAPER:
        page.goto(served.address + path)
        for what, width, height, main in page.evaluate(TARGETS):
            if height < (MAIN_PX if main else LEAST_PX) - 0.5 or width < LEAST_PX - 0.5:
                wrong.append(f"{path}: {what} is {width:.0f} × {height:.0f}")
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            wrong.append(f"{path}: scrolls sideways")
        wrong += [
            f"{path}: {v['id']} {v['nodes'][0]['html'][:120]}" for v in Axe().run(page).response["violations"]
        ]
    assert wrong == []
