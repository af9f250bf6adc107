"""A stranger's times of before the log: the rows of their file, and how they bring it in."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.browser.stranger import Stranger

BOARD = "serving board"


def past_rows() -> list[str]:
    """Four boards of old, each slower than the rules of thumb, and eight millings of other things."""
    newest = datetime.now(UTC).date() - timedelta(days=9)  # noqa: TID251 # as the browser's
    boards = [
        f"{newest - timedelta(weeks=3 * n)},old board {n},{BOARD},,{kind},{measure},,{first + slower * n},Ann"
        for n in range(4)
        for kind, measure, first, slower in (
            ("milling", 6, 100, 6),
            ("glue-up", 5, 62, 4),
            ("sanding", 1, 50, 3),
        )
    ]
    others = [
        f"{newest - timedelta(weeks=2 * n + 1)},shelf {n},,,milling,{n + 3},,{60 + 14 * n},Joren"
        for n in range(8)
    ]
    return boards + others


def bring_in_past_times(one: Stranger, file: Path) -> None:
    """Found under Shop; what came in leads to what it teaches."""
    rows = past_rows()
    file.write_text("\n".join(["finished_on,job,pattern,stage,kind,measure,unit,minutes,person", *rows]))
    one.office("/shop")
    one.follow("In and out")
    one.follow("Past times")
    one.page.locator("#file").set_input_files(file)
    one.tap("Look through it")
    one.tap(f"Bring in {len(rows)} rows")
    one.sees(f"{len(rows)} rows came in.")
    one.follow("See what they teach")
