"""An answer in text to a smaller one: packed by gzip where who asks can read that (RFC 9110 section 8.4)."""

import gzip
from typing import Any

from flask import Flask, Response, request

LEAST_BYTES = 1024
KINDS = frozenset(
    {"text/html", "text/css", "text/javascript", "application/javascript", "application/json"}
    | {"application/problem+json", "image/svg+xml", "text/calendar"}
)
_files: dict[str, bytes] = {}  # the static files, each packed once; there are a few dozen


def hang(app: Flask) -> None:
    """Pack what an app answers. Hung before all else it is the last to see an answer."""
    app.before_request(take_weak)
    app.after_request(pack)


def take_weak() -> None:
    """Read the validators that are sent back as they were before packing: they are compared weakly.

    Source: RFC 9110 section 13.1.2, "a recipient MUST use the weak comparison function".
    """
    sent = request.environ.get("HTTP_IF_NONE_MATCH")
    if sent and "W/" in sent:
        request.environ["HTTP_IF_NONE_MATCH"] = sent.replace('W/"', '"')


def pack(answer: Response) -> Response:
    """Pack an answer if it is text, long enough and whole; photos, zips and streams are left alone."""
    if answer.mimetype in KINDS or answer.status_code == 304:
        answer.vary.add("Accept-Encoding")
    if not request.accept_encodings["gzip"] or request.method not in ("GET", "HEAD", "POST"):
        return answer
    if answer.status_code == 304:
        weaken(answer)
    elif _may_pack(answer):
        packed = _packed(answer)
        if packed is not None:
            _put(answer, packed)
    return answer


def weaken(answer: Response) -> None:
    """Mark the validator as one of equal meaning: the bytes differ by how they were packed."""
    tag, is_weak = answer.get_etag()
    if tag is not None and not is_weak:
        answer.set_etag(tag, weak=True)


def _may_pack(answer: Response) -> bool:
    is_whole = answer.status_code not in (204, 206) and "Content-Encoding" not in answer.headers
    return is_whole and answer.mimetype in KINDS and (_is_file(answer) or not answer.is_streamed)


def _is_file(answer: Response) -> bool:
    """Whether it is one of the few files; a refusal under the same address is not, and is not kept."""
    return request.endpoint == "static" and answer.status_code == 200


def _packed(answer: Response) -> bytes | None:
    if not _is_file(answer):
        raw = answer.get_data()
        return gzip.compress(raw, 6, mtime=0) if len(raw) >= LEAST_BYTES else None
    if (answer.content_length or 0) < LEAST_BYTES:
        return None
    # the tag of a file has its size and time in it, so a file that changes is packed anew
    name = f"{request.path} {answer.get_etag()[0]}"
    if name not in _files:
        answer.direct_passthrough = False
        _files[name] = gzip.compress(answer.get_data(), 9, mtime=0)
    return _files[name]


def _put(answer: Response, packed: bytes) -> None:
    body: Any = answer.response
    if hasattr(body, "close"):
        body.close()
    answer.direct_passthrough = False
    answer.set_data(packed)
    answer.headers["Content-Encoding"] = "gzip"
    answer.headers.pop("Accept-Ranges", None)
    weaken(answer)
