"""Every page that can be reached by links, one for each kind of address, with the forms on it."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

from flask.testing import FlaskClient
from werkzeug.exceptions import HTTPException

FROM = ("/", "/bench", "/jobs", "/shop")
EACH = 2
"""How many pages of one kind are looked at: the first two, such as the pages of two jobs."""


@dataclass
class Form:
    """A form: where it goes, and what its fields hold when nobody types."""

    action: str
    method: str
    fields: list[tuple[str, str]] = field(default_factory=list)
    buttons: list[tuple[str, str]] = field(default_factory=list)
    has_files: bool = False

    @property
    def key(self) -> tuple[str, ...]:
        """Forms of the same names are the same form on another page."""
        return (self.method, *sorted({name for name, _ in self.fields + self.buttons}))


class Reader(HTMLParser):
    """The links and forms of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.links, self.forms = page, list[str](), list[Form]()
        self._by_id: dict[str, Form] = {}
        self._select: tuple[str, Form] | None = None
        self._loose: list[tuple[str, str, str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "a" and "href" in said:
            self.links.append(urljoin(self.page, said["href"]))
        elif tag == "form":
            form = Form(urljoin(self.page, said.get("action", "")), said.get("method", "get").lower())
            self.forms.append(form)
            self._by_id[said.get("id", "")] = form
        elif tag in ("input", "textarea", "select", "button") and said.get("name"):
            self._add(tag, said)
        elif tag == "option" and self._select and said.get("value") is not None:
            name, form = self._select
            if "selected" in said or name not in {n for n, _ in form.fields}:
                form.fields = [f for f in form.fields if f[0] != name] + [(name, said["value"])]

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = None

    def _add(self, tag: str, said: dict[str, str]) -> None:
        form = self._by_id.get(said["form"]) if said.get("form") else (self.forms or [None])[-1]
        if form is None:
            return
        if tag == "button" or said.get("type") == "submit":
            form.buttons.append((said["name"], said.get("value", "")))
        elif tag == "select":
            self._select = (said["name"], form)
        elif said.get("type") == "file":
            form.has_files = True
        elif said.get("type") not in ("checkbox", "radio") or "checked" in said:
            form.fields.append((said["name"], said.get("value", "")))


def read(page: str, text: str) -> Reader:
    """What a page links to and what can be sent from it."""
    reader = Reader(page)
    reader.feed(text)
    return reader


def crawl(client: FlaskClient, each: int = EACH) -> Iterator[tuple[str, str]]:
    """Address and text of the pages that are reached from the first ones, a few for each endpoint."""
    adapter = client.application.url_map.bind("localhost")
    waiting, seen, counts = list(FROM), set(FROM), dict[str, int]()
    while waiting:
        page = waiting.pop(0)
        try:
            endpoint, _ = adapter.match(urlsplit(page).path, method="GET")
        except HTTPException:
            raise AssertionError(f"a page links to {page}, which is nowhere") from None
        if endpoint == "static" or counts.get(endpoint, 0) >= each:
            continue
        counts[endpoint] = counts.get(endpoint, 0) + 1
        answer = client.get(page, follow_redirects=True)
        assert answer.status_code == 200, f"{page} answers {answer.status_code}"
        if answer.mimetype != "text/html":
            continue
        yield page, answer.text
        for link in read(page, answer.text).links:
            address = urlsplit(link)
            path = address.path + (f"?{address.query}" if address.query else "")
            if not address.netloc and path and path not in seen:
                seen.add(path)
                waiting.append(path)
