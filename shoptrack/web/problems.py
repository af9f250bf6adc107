"""A refusal → a problem document (RFC 9457) for the programs that ask."""

import json
from collections.abc import Mapping

from flask import Response

PROBLEM_TYPE = "application/problem+json"
PROBLEM_SCHEMA: Mapping[str, object] = {
    "type": "object",
    "description": "A problem document (RFC 9457)",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {"type": "string", "const": "about:blank"},
        "title": {"type": "string"},
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": {"type": "string", "description": "One plain sentence for the person who meets it"},
    },
    "additionalProperties": False,
}
"""The document as a JSON schema; the type "about:blank" says that title and status tell it all."""


def problem_document(code: int, title: str, sentence: str) -> Response:
    """The answer that carries a problem document."""
    body = {"type": "about:blank", "title": title, "status": code, "detail": sentence}
    return Response(json.dumps(body, ensure_ascii=False), code, content_type=PROBLEM_TYPE)
