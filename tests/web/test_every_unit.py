"""Every page speaks the shop's own units, clock and money, and no other."""

import re
from html.parser import HTMLParser

import pytest
from flask.testing import FlaskClient
from sqlalchemy import update

from shoptrack.store.tables import EdgeKindRow, JobRow, PoolRow, ShopRow, StationRow, ToolRow
from tests.crawled import crawl
from tests.flows.quoting.shop import out, price_all, tray
from tests.flows.tooling.sharp import planer
from tests.joinery import Joinery, at

IMPERIAL = {"length_unit": "in", "temperature_unit": "F", "clock_24h": True, "currency": "USD"}
METRIC = {"length_unit": "mm", "temperature_unit": "C", "clock_24h": False, "currency": "KWD"}
FOREIGN = {
    "in": r"\d (mm|cm)\b",
    "mm": r"\d(\"|″| inch| in\b(?! \d))",
    "F": r"°C",
    "C": r"°F",
    "24 h": r"\d:\d\d [ap]m",
    "12 h": r"(?<![\d:])\d{1,2}:\d\d(?![\d:])(?! ?[ap]m)",
    "USD": r"KWD",
    "KWD": r"USD|\$|\d\.\d\d KWD",
}
CHOICES = {"/shop/itself", "/start/shop"}
"""Where the units themselves are chosen, all of them are named."""


class Words(HTMLParser):
    """The words of a page as they are read, without what is in fields and scripts."""

    def __init__(self) -> None:
        super().__init__()
        self.said, self.skipped = list[str](), 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.skipped += tag in ("script", "style", "option", "textarea")

    def handle_endtag(self, tag: str) -> None:
        self.skipped -= tag in ("script", "style", "option", "textarea")

    def handle_data(self, data: str) -> None:
        if not self.skipped:
            self.said.append(data)


def words_of(page: str) -> str:
    words = Words()
    words.feed(page)
    return " ".join(" ".join(words.said).split())


def foreign(ways: dict[str, object]) -> list[str]:
    clock = "24 h" if ways["clock_24h"] else "12 h"
    names = (ways["length_unit"], ways["temperature_unit"], clock, ways["currency"])
    return [FOREIGN[str(name)] for name in names]


@pytest.mark.parametrize("ways", [IMPERIAL, METRIC], ids=["inches", "millimetres"])
def test_no_page_shows_the_units_of_another_shop(
    joinery: Joinery, office: FlaskClient, ways: dict[str, object]
) -> None:
    """The shop is set to inches, °F, 24 hours and dollars, then to mm, °C, 12 hours and three decimals."""
    joinery.add("tray", "trays", None)
    knives = planer(joinery, spare=True)
    knives.planed(90, 1)
    knives.deed("sent", at("9:00"), edge=knives.spare, cents=3600)
    out(joinery, tray(joinery, price_all(joinery)))
    with joinery.store.writing() as session:
        session.execute(update(ShopRow).values(**ways))
        session.execute(update(JobRow).values(price_cents=123_456, deposit_cents=20_000))
        session.execute(update(PoolRow).values(name="long bars"))
        session.execute(update(StationRow).values(greatest_width_mm=381.0))
        session.execute(update(ToolRow).values(flute_mm=31.75))
        session.execute(update(EdgeKindRow).values(renew_cents=3000, dull_cents=30_000))
    wrong, looked_at = [], 0
    for page, text in crawl(office, each=1):
        if page.partition("?")[0] in CHOICES:
            continue
        looked_at += 1
        for pattern in foreign(ways):
            found = re.search(rf".{{0,30}}(?:{pattern}).{{0,20}}", words_of(text))
            if found:
                wrong.append(f"{page}: {found[0]}")
    assert not wrong, "\n".join(wrong)
    assert looked_at > 20
