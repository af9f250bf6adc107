"""Every form of the office sent twice, in a row and at one moment, and from before another's change."""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Barrier, Thread

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from shoptrack.config import Config
from shoptrack.store.base import Base
from shoptrack.store.db import Store
from shoptrack.web import create_app
from tests.crawled import read
from tests.flows.quoting.shop import ad_hoc, made, out, price_all
from tests.joinery import NOW, glued_last_week, kept
from tests.web.conftest import ORIGIN

Rows = Mapping[str, list[str]]


@dataclass(frozen=True)
class Case:
    """A form: the page it stands on, where it goes, what is typed, and the button's value if it has one."""

    page: str
    action: str
    typed: Mapping[str, str] = field(default_factory=dict)
    button: str | None = None
    adds: str = ""

    def __str__(self) -> str:
        return " ".join(filter(None, (self.action, self.button)))


ROOM = {"name": "loft", "heated": "68", "unheated": "50"}
KIND = {"name": "bending", "unit": "pieces", "setup": "10", "rate": "20"}
RECIPE = {"name": "fish glue", "m0-role": "clamps off", "m0-from": "60"}
CASES = (
    Case("/jobs/new?pattern=1", "/jobs/new", {"title": "a stool", "customer": "Ola Fen"}, adds="jobs"),
    Case("/jobs/1/change", "/jobs/1/change", {"title": "a better name", "price": "12.50"}),
    Case("/jobs/1/promised", "/jobs/1/promised", {"promised_on": "2026-12-20", "why": "wood came late"}),
    Case("/jobs/1/end", "/jobs/1/closed", {}, "yes"),
    Case("/jobs/1/end", "/jobs/1/called-off", {"called_off_why": "no money"}),
    Case("/jobs/1/money", "/jobs/1/extras", {"extra_words": "a lid", "extra": "20"}, adds="extras"),
    Case("/jobs/1/money", "/jobs/1/costs", {"words": "hinges", "cost": "4"}, adds="costs"),
    Case(
        "/jobs/1/stages/new",
        "/jobs/1/stages/new",
        {"kind": "1", "name": "sawing", "quantity": "2"},
        adds="stages",
    ),
    Case("/jobs/1/stages/4", "/jobs/1/stages/4", {"name": "more inlay"}),
    Case("/jobs/1/stages/4", "/jobs/1/stages/4/split", {"keeps": "20"}, adds="stages"),
    Case("/jobs/1/stages/4", "/jobs/1/stages/4/out", {"why": "not wanted"}),
    Case("/jobs/1/stages", "/jobs/1/stages", {}, "down 4 4"),
    Case("/customers", "/customers", {"name": "Odile Marr", "phone": "17"}, adds="customers"),
    Case("/customers/1", "/customers/1", {"phone": "18"}),
    Case("/customers/1", "/customers/1/retired", {}, "yes"),
    Case(
        "/patterns/1/revise?open=1",
        "/patterns/1/revise#open",
        {"name": "sawing", "note": "thinner"},
        "save",
        "pattern_revisions",
    ),
    Case("/patterns/1", "/patterns/1/copy", {"name": "other tray"}, adds="patterns"),
    Case("/patterns/1", "/patterns/1/retired", {}, "yes"),
    Case("/shop/itself", "/shop/itself", {"name": "Reed Lane"}),
    Case("/shop/people", "/shop/people", {"name": "Nel"}, adds="people"),
    Case("/shop/people/2", "/shop/people/2", {"name": "Pieter"}),
    Case("/shop/people/2", "/shop/people/2/retired", {}, "yes"),
    Case("/shop/people", "/shop/people/2/place", {}, "1"),
    Case("/shop/rooms", "/shop/rooms", ROOM, adds="rooms"),
    Case("/shop/rooms/1", "/shop/rooms/1", {"heated-11": "70"}, adds="room_temps"),
    Case("/shop/stations", "/shop/stations", {"name": "lathe"}, adds="stations"),
    Case("/shop/stations/1", "/shop/stations/1", {"name": "big router"}),
    Case("/shop/clamps", "/shop/clamps", {"name": "long", "reach": "40", "owned": "4"}, adds="pools"),
    Case("/shop/clamps/1", "/shop/clamps/1", {"owned": "14"}, adds="pool_counts"),
    Case("/shop/tools", "/shop/tools", {"name": "blade", "kind": "usual saw blade"}, adds="tools"),
    Case("/shop/edge-kinds", "/shop/edge-kinds", {"name": "bit", "life": "8"}, adds="edge_kinds"),
    Case("/shop/materials", "/shop/materials", {"name": "elm", "price": "9"}, adds="materials"),
    Case("/shop/recipes", "/shop/recipes", RECIPE, adds="recipes"),
    Case("/shop/recipes/1", "/shop/recipes/1", {"open": "12"}, adds="recipe_versions"),
    Case("/shop/kinds", "/shop/kinds", KIND, adds="stage_kinds"),
    Case("/shop/kinds/1", "/shop/kinds/1", {"rate": "12"}, adds="rules_of_thumb"),
    Case("/shop/hours/shop", "/shop/hours/shop", {"day-5-0-from": "08:00", "day-5-0-until": "11:00"}),
    Case("/shop/hours/2", "/shop/hours/2", {"day-0-0-from": "09:00"}, adds="weeks"),
    Case("/shop/days-off", "/shop/days-off", {"first_on": "2026-12-24"}, adds="days_off"),
    Case(
        "/shop/overtime",
        "/shop/overtime",
        {"on": "2026-11-28", "opens": "08:00", "closes": "11:00"},
        adds="overtime",
    ),
    Case("/jobs/1/awaited", "/jobs/1/awaited", {"what": "a deposit"}, adds="awaited"),
    Case("/shop/people/1", "/shop/people/1", {"never-3": "yes"}, adds="never_does"),
    Case("/shop/holidays?country=SE&part=", "/shop/holidays", {"day": "2026-12-25"}, adds="days_off"),
    Case("/times/1", "/times/1/rule", {"setup": "25", "rate": "12.5"}, adds="rules_of_thumb"),
    Case("/shop/rates", "/shop/rates", {"rate": "45", "from_on": "2026-11-01"}, adds="rates"),
    Case("/shop/terms", "/shop/terms", {"margin": "35", "from_on": "2026-11-01"}, adds="terms"),
    Case("/shop/hour-cost", "/shop/hour-cost", {"wages": "90000", "on_jobs": "70"}, adds="hour_costs"),
    Case("/calendar/renew", "/calendar/renew", adds="feed"),
    Case("/months/2026-10", "/months/2026-10/closed", adds="months"),
    Case("/office/pin", "/office/pin", {"pin": "2468", "again": "2468"}),
    Case(
        "/quotes/new?pattern=1",
        "/quotes/new#reckoned",
        {"customer": "Ola Fen", "title": "a tray"},
        "save",
        "quotes",
    ),
    Case("/quotes/1/revise", "/quotes/1/revise#reckoned", {"title": "a bed"}, "save", "quote_revisions"),
    Case("/quotes/1", "/quotes/1/copy", adds="quotes"),
    Case("/quotes/1", "/quotes/1/out", {"valid_until": "2026-12-24"}),
    Case("/quotes/1", "/quotes/1/turned-down", {"why": "too dear"}),
    Case("/quotes/2", "/quotes/2/taken", {"promised_on": "2027-01-20"}, adds="jobs"),
    Case("/jobs/2", "/last-time", {"text": "the fence slipped"}, adds="last_times"),
)


@contextmanager
def shop(folder: Path, quoted: bool = False) -> Iterator[tuple[Store, Flask]]:
    """The small shop with one tray, its pages, in a folder of its own; ``quoted``: with two quotes."""
    folder.mkdir()
    store = kept("shop").put(folder)
    joinery = kept("shop").joinery(store)
    joinery.add("tray", "a tray", None, 4)
    glued_last_week(joinery, "glued up")
    with store.writing() as session:
        session.execute(text("UPDATE jobs SET added_at = '2026-10-05 12:00:00.000000'"))
    if quoted:
        price_all(joinery)
        made(joinery, ad_hoc(joinery), "1" * 32)
        out(joinery, ad_hoc(joinery), "2" * 32)
    app = create_app(store, Config(instance=folder, database_url=f"sqlite:///{folder / 'shop.db'}"))
    app.config["NOW"] = lambda: NOW
    try:
        yield store, app
    finally:
        store.close()


def entered(app: Flask, person: str = "1") -> FlaskClient:
    """Somebody in the office."""
    client = app.test_client()
    assert client.post("/office", data={"person": person}, headers=ORIGIN).status_code == 303
    return client


def opened(client: FlaskClient, case: Case) -> dict[str, str]:
    """The form as a browser would send it once everything is typed."""
    page = client.get(case.page, follow_redirects=True)
    forms = [f for f in read(case.page, page.text).forms if f.action == case.action and f.method == "post"]
    for form in forms:
        press = {n: v for n, v in form.buttons if v == case.button}
        if press or case.button is None:
            return {**dict(form.fields), **case.typed, **press}
    raise AssertionError(f"{case.page} has no form to {case.action}: {page.status_code}")


def rows(store: Store) -> Rows:
    """Everything in the database but the counter that every transaction moves."""
    with store.reading() as session:
        return {
            table.name: sorted(map(repr, session.execute(text(f'SELECT * FROM "{table.name}"')).all()))
            for table in Base.metadata.sorted_tables
            if table.name != "head"
        }


def send(client: FlaskClient, case: Case, sent: Mapping[str, str]) -> int:
    return client.post(case.action, data=sent, headers=ORIGIN).status_code


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_form_sent_twice_counts_once(case: Case, tmp_path: Path) -> None:
    """Twice in a row nothing is different from once; by two threads at one moment no row is there twice."""
    quoted = case.page.startswith("/quotes/")
    with shop(tmp_path / "row", quoted) as (store, app):
        client = entered(app)
        sent, before = opened(client, case), rows(store)
        first = send(client, case, sent)
        once = rows(store)
        again = send(client, case, sent)
        assert first == 303, first
        assert again in (303, 400, 403, 409), again
        assert rows(store) == once
        if case.adds:
            assert len(once[case.adds]) > len(before[case.adds])
        else:
            assert once != before
    with shop(tmp_path / "both", quoted) as (store, app):
        clients = [entered(app), entered(app)]
        sent, codes, ready = opened(clients[0], case), list[int](), Barrier(2)

        def press(client: FlaskClient) -> None:
            ready.wait()
            codes.append(send(client, case, sent))

        threads = [Thread(target=press, args=(client,)) for client in clients]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert 303 in codes
        assert max(codes) < 500
        assert {name: len(lines) for name, lines in rows(store).items()} == {
            name: len(lines) for name, lines in once.items()
        }


@dataclass(frozen=True)
class Old:
    """A form of values, what one types into it, and what another saves before them.

    ``to`` is what its address has after that of its page.
    """

    path: str
    typed: Mapping[str, str]
    theirs: Mapping[str, str]
    told: str
    to: str = ""


OLD = (
    Old("/customers/1", {"phone": "17"}, {"notes": "rings twice"}, "Piet changed this .*notes"),
    Old("/jobs/1/change", {"title": "a better name"}, {"price": "99"}, "Piet changed this .*price"),
    Old(
        "/jobs/1/promised",
        {"promised_on": "2026-12-20", "why": "late"},
        {"promised_on": "2026-12-11", "why": "early"},
        "Piet changed this .*promised",
    ),
    Old("/shop/itself", {"name": "Reed Lane"}, {"currency": "EUR"}, "Piet changed this .*currency"),
    Old("/shop/people/2", {"name": "Pieter"}, {"name": "Peet"}, "Peet changed this .*name"),
    Old("/shop/rooms/1", {"name": "loft"}, {"heated-11": "70"}, "Piet changed this"),
    Old("/shop/stations/1", {"name": "big router"}, {"bed_length": "40"}, "Piet changed this .*bed length"),
    Old("/shop/clamps/1", {"name": "long"}, {"owned": "14"}, "Piet changed this .*owned"),
    Old("/shop/recipes/1", {"open": "12"}, {"open": "14"}, "Piet changed this"),
    Old("/shop/kinds/1", {"name": "planing"}, {"rate": "12"}, "Piet changed this .*rate"),
    Old("/shop/hours/shop", {"day-5-0-from": "08:00", "day-5-0-until": "11:00"},
        {"day-0-0-from": "09:00"}, "Piet changed this .*week"),
    Old("/shop/terms", {"margin": "35"}, {"waste": "25"}, "Piet changed this .*waste"),
    Old("/shop/hour-cost", {"wages": "90000"}, {"wages": "80000"}, "Piet changed this .*wages"),
    Old("/times/1", {"setup": "25"}, {"rate": "12"}, "Piet changed this .*rate", "/rule"),
    Old("/jobs/1/stages/4", {"name": "more inlay"}, {"settings": "bit: 2 mm"}, "Somebody changed this stage"),
)  # fmt: skip


@pytest.mark.parametrize("old", OLD, ids=lambda o: o.path)
def test_an_old_form_undoes_no_change_without_a_word(old: Old, tmp_path: Path) -> None:
    """It comes back with what was typed and who changed what; saved again it counts."""
    with shop(tmp_path / "shop") as (store, app):
        una, piet = entered(app), entered(app, "2")
        action = old.path + old.to
        mine, their = (Case(old.path, action, said) for said in (old.typed, old.theirs))
        sent = opened(una, mine)
        assert send(piet, their, opened(piet, their)) == 303
        changed = rows(store)
        answer = una.post(action, data=sent, headers=ORIGIN)
        assert answer.status_code == 400
        assert rows(store) == changed
        assert re.search(old.told, answer.text), answer.text
        name, value = next(iter(old.typed.items()))
        back = next(f for f in read(old.path, answer.text).forms if f.action.partition("#")[0] == action)
        fields = dict(back.fields)
        assert fields[name] == value
        assert send(una, mine, fields) == 303
        assert rows(store) != changed


def test_a_slip_of_the_pen_does_not_hide_what_another_changed(tmp_path: Path) -> None:
    """A form that comes back for another reason has not been told yet, and is told when it is right."""
    with shop(tmp_path / "shop") as (_, app):
        una, piet = entered(app), entered(app, "2")
        case = Case("/customers/1", "/customers/1", {"name": ""})
        sent = opened(una, case)
        their = Case("/customers/1", "/customers/1", {"phone": "12"})
        assert send(piet, their, opened(piet, their)) == 303
        answer = una.post("/customers/1", data=sent, headers=ORIGIN)
        assert "The name is missing" in answer.text
        fields = dict(
            next(f for f in read("/customers/1", answer.text).forms if f.action == "/customers/1").fields
        )
        answer = una.post("/customers/1", data={**fields, "name": "Odile"}, headers=ORIGIN)
        assert answer.status_code == 400
        assert "Piet changed this after you opened it (phone)" in answer.text
