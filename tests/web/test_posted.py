"""Bytes are one JSON text, or refused."""

import pytest
from flask import Flask, request
from werkzeug.exceptions import UnsupportedMediaType

from shoptrack.errors import BadInput
from shoptrack.web.posted import read_json


def decoded(raw: bytes, mime: str = "application/json") -> object:
    with Flask("a").test_request_context(method="POST", data=raw, content_type=mime):
        return read_json(request)


def test_json_is_read() -> None:
    assert decoded('{"a": [1, 2.5, "ä", null, true]}'.encode()) == {"a": [1, 2.5, "ä", None, True]}
    assert decoded(b"{}", "application/json; charset=utf-8") == {}


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (b'{"a": 1, "a": 1}', "A member is named twice in the message."),
        (b'[{"a": {"b": 1, "b": 2}}]', "A member is named twice in the message."),
        (b"[NaN]", "NaN is no number in JSON."),
        (b"[-Infinity]", "-Infinity is no number in JSON."),
        (b"[" * 100_000, "The message is nested too deeply."),
        (b'"\xe4"', "The message is not written in UTF-8."),
        (b"{'a': 1}", "The message can't be read as JSON."),
        (b"1" * 5000, "The message can't be read as JSON."),
    ],
)
def test_anything_else_is_refused(raw: bytes, sentence: str) -> None:
    with pytest.raises(BadInput) as refused:
        decoded(raw)
    assert str(refused.value) == sentence


def test_another_type_is_refused() -> None:
    with pytest.raises(UnsupportedMediaType):
        decoded(b"{}", "text/json")
