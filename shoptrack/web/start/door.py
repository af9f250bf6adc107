"""Any page asked for before there is a shop becomes the first step; later a line says what is next."""

from flask import Flask, current_app, redirect, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import NotSetUp
from shoptrack.flows.first_day.steps import STEPS, StepLine, step_lines
from shoptrack.store.shop import find_shop
from shoptrack.web.here import hold_wall, store, wall
from shoptrack.web.refusals import from_shop
from shoptrack.web.rights import device_kind

ALWAYS = ("/start", "/api/", "/static/", "/pair", "/office", "/devices", "/files/restore")
SEEN = "shoptrack.set_up"


def hang(app: Flask) -> None:
    """Lead to the first step while there is no shop, and give the templates ``first_day_left``."""
    app.before_request(to_the_start)
    app.register_error_handler(NotSetUp, instead_of_refusing)
    app.jinja_env.globals["first_day_left"] = first_day_left


def is_led() -> bool:
    """Whether what is asked for is a page that leads to the first step while there is no shop."""
    asked = request.method == "GET" and request.endpoint is not None
    return asked and not request.path.startswith(ALWAYS)


def to_the_start() -> Answer | None:
    """Lead to the first step where a page is asked for and the shop isn't set up yet.

    The Floor reads the shop itself, by few queries, and is led by what that raises.
    """
    if not is_led() or request.blueprint == "floor" or current_app.extensions.get(SEEN):
        return None
    with store().reading() as session:
        shop = find_shop(session)
    if shop is None:
        return redirect("/start", 303)
    hold_wall(shop)
    current_app.extensions[SEEN] = True  # a shop once set up is never unset while this program runs
    return None


def instead_of_refusing(wrong: NotSetUp) -> Answer:
    """A page that found no shop leads to the first step; whatever else asks is told so."""
    return redirect("/start", 303) if is_led() else from_shop(wrong)


def first_day_left() -> StepLine | None:
    """The step that is next, for a page of an office device; None once the first day is over."""
    key = wall().first_day
    if key not in STEPS or device_kind() != "office":
        return None
    return next(line for line in step_lines(key) if line.key == key)
