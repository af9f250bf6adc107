"""A page's form to what a browser would send of it, so that a test can press one button after another."""

from html.parser import HTMLParser


class _Form(HTMLParser):
    """Reads the fields of the form with an id: hidden ones, text, ticked boxes, selects and text areas."""

    def __init__(self, form_id: str) -> None:
        super().__init__()
        self.form_id, self.inside, self.found = form_id, False, dict[str, str]()
        self.select, self.area = "", ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = said.get("id") == self.form_id
        if not self.inside:
            return
        if tag == "input" and (said.get("type") != "checkbox" or "checked" in said):
            self.found[said["name"]] = said.get("value", "")
        elif tag == "select":
            self.select = said["name"]
        elif tag == "option" and ("selected" in said or self.select not in self.found):
            self.found[self.select] = said.get("value", "")
        elif tag == "textarea":
            self.area, self.found[said["name"]] = said["name"], ""

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag != "form"
        self.area = "" if tag == "textarea" else self.area

    def handle_data(self, data: str) -> None:
        if self.area:
            self.found[self.area] += data


def filled(page: str, form_id: str) -> dict[str, str]:
    """The fields of a form as the page shows them."""
    reader = _Form(form_id)
    reader.feed(page)
    return reader.found
