"""A database in which no shop was set up yet, and the forms of the first day filled in as they come."""

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

from sqlalchemy import create_engine
from sqlalchemy.orm import Session

from shoptrack.store.base import Base
from shoptrack.store.db import Store, open_store
from shoptrack.store.tables import HeadRow


def unset_store(folder: Path) -> Store:
    """Tables and a head, and nothing else."""
    url = f"sqlite:///{folder / 'shop.db'}"
    engine = create_engine(url)
    Base.metadata.create_all(engine)
    with Session(engine) as session:
        session.add(HeadRow(id=1, database_id="first day", revision=1))
        session.commit()
    engine.dispose()
    return open_store(url, folder)


class _Form(HTMLParser):
    """Collects what the step's form would send as it stands."""

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self._within = False
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._within = "step-form" in said.get("class", "")
        name = said.get("name", "")
        if not self._within:
            return
        if tag == "input" and (said.get("type") not in ("checkbox", "radio") or "checked" in said):
            self.fields[name] = said.get("value", "")
        if tag == "textarea":
            self.fields[name] = ""
        if tag == "select":
            self._select = name
        if tag == "option" and (self._select not in self.fields or "selected" in said):
            self.fields[self._select] = said.get("value", "")


def filled_in(page: str) -> dict[str, str]:
    """What the form of a step sends when nothing is changed."""
    form = _Form()
    form.feed(page)
    return form.fields


def words_of(page: str) -> str:
    """The words on a page, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())
