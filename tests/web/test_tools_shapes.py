"""The document of the tools is described by its own shapes, down to each edge."""

from shoptrack.web.openapi import document


def test_the_api_document_has_them() -> None:
    parts = document()["components"]["schemas"]
    assert {"ToolsDoc", "ToolDoc", "EdgeDoc", "CutDoc", "HoursDoc"} <= parts.keys()
    edge = parts["EdgeDoc"]["properties"]
    assert edge["where"]["enum"] == ["fitted", "spare", "away", "broken", "worn out"]
    assert edge["half_by"] == {"anyOf": [{"type": "string", "format": "date"}, {"type": "null"}]}
    assert "early warning only" in parts["EdgeDoc"]["description"]
    assert document()["paths"]["/api/tools"]["get"]["operationId"] == "tools"
