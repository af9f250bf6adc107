"""Work on many rows → a page that says how far it is while it works, and shows what came of it at its end."""

from collections.abc import Callable, Generator, Iterator
from typing import TypeVar

from flask import Response, render_template, stream_with_context
from markupsafe import Markup

from shoptrack.errors import ShopError
from shoptrack.flows.bring_in_shapes import Progress

T = TypeVar("T")
HERE = Markup("<!-- here -->")  # our own mark, nothing that was typed
"""Where the page is cut in two: what stands above is sent before the work is done."""


def told(
    work: Generator[Progress, None, T],
    shown: Callable[[T], str],
    page: str,
    *,
    counted: str = "rows looked at",
    wrong_page: str = "files/_wrong.html",
    **context: object,
) -> Response:
    """Send a page of the template ``page`` while the work goes on; ``counted`` is what its ticks count.

    The template writes ``here`` where the ticks of progress go, and then what ``shown`` makes of the result.
    What keeps the work from beginning is refused as usual; what ends it is told in the page.
    """
    next(work)
    top, _, bottom = render_template(page, here=HERE, **context).partition(str(HERE))
    top += f'<ol class="ticks" aria-label="{counted}">'

    def refused(wrong: ShopError) -> str:
        return render_template(wrong_page, wrong=wrong, **context)

    pieces = _pieces(work, shown, refused, top, bottom)
    return Response(stream_with_context(pieces), content_type="text/html; charset=utf-8")


def _pieces(
    work: Generator[Progress, None, T],
    shown: Callable[[T], str],
    refused: Callable[[ShopError], str],
    top: str,
    bottom: str,
) -> Iterator[str]:
    yield top
    try:
        found = yield from _ticks(work)
    except ShopError as wrong:
        yield "</ol>" + refused(wrong) + bottom
    else:
        yield "</ol>" + shown(found) + bottom


def _ticks(work: Generator[Progress, None, T]) -> Generator[str, None, T]:
    """A tick for each part of the rows as it is done; gives what came of the work."""
    while True:
        try:
            step = next(work)
        except StopIteration as end:
            found: T = end.value
            return found
        yield f"<li>{step.done:,}</li>"
