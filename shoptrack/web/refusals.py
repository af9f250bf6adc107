"""What went wrong to a page, or a problem document for the programs that ask: one plain sentence."""

from flask import Flask, Response, render_template, request
from werkzeug.exceptions import HTTPException

from shoptrack.errors import BadInput, NotAllowed, NotFound, Refused, ShopError
from shoptrack.web.problems import problem_document

TITLES = {
    400: "That can't be read",
    403: "Not from here",
    404: "Not here",
    405: "Not that way",
    409: "Not now",
    413: "Too big",
    415: "Not that kind",
    500: "Something broke",
}
SENTENCES = {
    404: "There is nothing at this address.",
    405: "This address does not take that.",
    413: "That is more than two megabytes; nothing was written.",
    500: "Something in the program broke. What was tapped before is safe in the log.",
}


def hang(app: Flask) -> None:
    """Give an app these answers."""
    app.register_error_handler(HTTPException, from_http)
    app.register_error_handler(ShopError, from_shop)


def from_http(wrong: HTTPException) -> Response:
    """A refusal of the web's own, in our words."""
    code = wrong.code or 500
    own = wrong.description if code in (400, 403) and wrong.description else ""
    answer = refuse(code, own or SENTENCES.get(code, wrong.description or ""))
    if code == 405:
        for name, value in wrong.get_headers():
            if name == "Allow":
                answer.headers["Allow"] = value
    return answer


def from_shop(wrong: ShopError) -> Response:
    """A refusal of the shop's: its sentence as it is."""
    codes = {BadInput: 400, NotAllowed: 403, NotFound: 404, Refused: 409}
    return refuse(next((c for kind, c in codes.items() if isinstance(wrong, kind)), 400), str(wrong))


def refuse(code: int, sentence: str) -> Response:
    """The answer with a status, a title and one sentence (RFC 9457 under /api/, a page elsewhere)."""
    title = TITLES.get(code, "Refused")
    if request.path.startswith("/api/"):
        return problem_document(code, title, sentence)
    if request.routing_exception is not None and code == 400:
        return Response(sentence, code, content_type="text/plain; charset=utf-8")
    return Response(render_template("refused.html", title=title, sentence=sentence), code)
