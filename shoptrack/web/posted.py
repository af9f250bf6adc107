"""The bytes of a post → a JSON value, or one plain refusal of the whole message."""

import json
from collections.abc import Iterable

from flask import Request
from werkzeug.exceptions import UnsupportedMediaType

from shoptrack.errors import BadInput


def read_json(request: Request) -> object:
    """The JSON value that was posted; strict, so that two readers can't read it in two ways.

    Raises UnsupportedMediaType for another content type, BadInput for anything that is not one JSON text
    in UTF-8 with every member named once.
    """
    if request.mimetype != "application/json":
        raise UnsupportedMediaType("Entries are sent as application/json.")
    raw = request.get_data()
    try:
        return json.loads(raw.decode("utf-8"), object_pairs_hook=_once, parse_constant=_no_constant)
    except UnicodeDecodeError as problem:
        raise BadInput("The message is not written in UTF-8.") from problem
    except RecursionError as problem:
        raise BadInput("The message is nested too deeply.") from problem
    except ValueError as problem:
        raise BadInput("The message can't be read as JSON.") from problem


def _once(pairs: Iterable[tuple[str, object]]) -> dict[str, object]:
    found: dict[str, object] = {}
    for name, value in pairs:
        if name in found:
            raise BadInput("A member is named twice in the message.")
        found[name] = value
    return found


def _no_constant(name: str) -> object:
    raise BadInput(f"{name} is no number in JSON.")
