"""An address to a code that a tablet's camera reads, as a drawing."""

import io

import segno
from flask import Response, request
from werkzeug.wrappers import Response as Answer


def code_svg(text: str) -> bytes:
    """The drawing of a code: black on white whatever the page's paper is, with its quiet zone.

    Four modules of quiet zone and error correction M (ISO/IEC 18004): glue and pencil cover some of it.
    """
    out = io.BytesIO()
    made = segno.make(text, error="m", micro=False)
    made.save(out, kind="svg", border=4, light="#fff", dark="#000", omitsize=True, xmldecl=False, nl=False)
    return out.getvalue()


def code_answer(text: str) -> Answer:
    """The drawing as an answer that is kept while it stays the same."""
    answer = Response(code_svg(text), content_type="image/svg+xml")
    answer.add_etag()
    return answer.make_conditional(request)
