"""Problem documents are as RFC 9457 has them."""

import jsonschema_rs

from shoptrack.web.problems import PROBLEM_SCHEMA, problem_document


def test_a_problem_document() -> None:
    """Source: RFC 9457 section 3: media type application/problem+json; 4.2.1: about:blank."""
    answer = problem_document(404, "Not here", "There is no such job.")
    assert (answer.status_code, answer.content_type) == (404, "application/problem+json")
    body = answer.get_json()
    assert body == {
        "type": "about:blank",
        "title": "Not here",
        "status": 404,
        "detail": "There is no such job.",
    }
    assert jsonschema_rs.is_valid(PROBLEM_SCHEMA, body)
