"""A page that tells how far the work is, and how it ends."""

from collections.abc import Generator

import pytest
from flask import Flask

from shoptrack.errors import NotFound, Refused
from shoptrack.flows.bring_in import SUBJECTS
from shoptrack.flows.bring_in_shapes import Progress
from shoptrack.web.files_told import told

SUBJECT = SUBJECTS["customers"]


def work(steps: int, ends: Exception | None = None) -> Generator[Progress, None, str]:
    for step in range(steps):
        yield Progress(step * 1000, 4000)
    if ends:
        raise ends
    return "done & dusted"


def page(app: Flask, doing: Generator[Progress, None, str]) -> list[str]:
    with app.test_request_context("/files/customers/x"):
        answer = told(doing, lambda found: f"<p>{found}</p>", "files/looking.html", subject=SUBJECT)
        return [piece.decode() for piece in answer.iter_encoded()]


def test_the_page_comes_first_then_the_ticks_then_the_end(bare_app: Flask) -> None:
    top, *ticks, end = page(bare_app, work(3))
    assert "Customers from a file" in top
    assert ticks == ["<li>1,000</li>", "<li>2,000</li>"]
    assert end.startswith("</ol><p>done & dusted</p>")
    assert end.rstrip().endswith("</html>")
    assert "<!-- here -->" not in top + end


def test_what_ends_the_work_is_told_in_the_page(bare_app: Flask) -> None:
    end = page(bare_app, work(2, Refused("The shop <changed>.")))[-1]
    assert "The shop &lt;changed&gt;." in end
    assert end.rstrip().endswith("</html>")


def test_what_keeps_it_from_beginning_is_refused_as_usual(bare_app: Flask) -> None:
    with pytest.raises(NotFound):
        page(bare_app, work(0, NotFound("Gone.")))
