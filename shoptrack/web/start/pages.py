"""The pages of the first day: a step is asked for, a form is taken, and the next step is shown."""

from collections.abc import Callable, Mapping

from flask import Blueprint, redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.engine.units import show_minutes
from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.first_day import offers, shop, things, work
from shoptrack.flows.first_day.steps import STEPS, go_on, next_step, step_lines
from shoptrack.store.zones import machine_zone
from shoptrack.web import rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.shop.minutes import time_words
from shoptrack.web.start import asked

bp = Blueprint("start", __name__, url_prefix="/start")
bp.before_request(rights.needs_office)


@bp.get("")
def show_steps() -> Answer | str:
    with store().reading() as session:
        key = next_step(session)
    if key == next(iter(STEPS)):
        return redirect(f"/start/{key}", 303)
    return render_template("start/steps.html", lines=step_lines(key), next=key)


@bp.get("/<step>")
def show_step(step: str) -> Answer | str:
    with store().reading() as session:
        first = next(iter(STEPS))
        unset = next_step(session) == first and step != first
    return redirect(f"/start/{first}", 303) if unset else sheet(step)


@bp.post("/<step>")
def take_step(step: str) -> Answer | tuple[str, int]:
    if step not in STEPS:
        raise NotFound("The first day has no such step.")
    try:
        return onward(step, TAKE[step](request.form))
    except BadInput as wrong:
        return sheet(step, request.form, wrong), 400


@bp.post("/<step>/skip")
def leave_out(step: str) -> Answer:
    """Go on without an answer; a shop that is not there yet is made with all as usual."""
    if step == next(iter(STEPS)):
        with store().reading() as session:
            usual = shop.answers_of(session, machine_zone())
        return onward(step, shop.save_shop(store(), usual, rights.acting(), now()))
    with store().writing() as session:
        return onward(step, go_on(session, step))


def onward(step: str, next_key: str | None) -> Answer:
    """To the next step; from the last to the Floor, from one gone back to, to the list of them."""
    last = [*STEPS][-1]
    path = f"/start/{next_key}" if next_key else "/" if step == last else "/start"
    return redirect(path, 303)


def sheet(step: str, fields: Fields | None = None, wrong: BadInput | None = None) -> str:
    """The page of a step, with what was typed where it comes back. Raises NotFound for none."""
    if step not in STEPS:
        raise NotFound("The first day has no such step.")
    with store().reading() as session:
        lines = step_lines(next_step(session), here=step)
        offer = OFFER[step](session)
    return render_template(
        f"start/{step}.html",
        step=step,
        lines=lines,
        offer=offer,
        fields=fields or {},
        wrong=wrong,
        slug=asked.slug,
        lasting=show_minutes,
        time_of_day=lambda at: time_words(at, wall()),
        more=asked.MORE,
    )


OFFER: Mapping[str, Callable[[Session], offers.Offer]] = {
    "shop": lambda session: offers.offer_shop(session, machine_zone()),
    "people": offers.offer_people,
    "rooms": offers.offer_rooms,
    "stations": offers.offer_stations,
    "clamps": offers.offer_clamps,
    "recipes": offers.offer_recipes,
    "kinds": offers.offer_kinds,
    "pattern": offers.offer_pattern,
    "job": offers.offer_job,
}


def take_people(fields: Fields) -> str | None:
    """Add the people; the first of them goes on here, where nobody has said who they are."""
    key, first = shop.save_people(store(), asked.read_people(fields), rights.acting(), now())
    if rights.acting() is None and first is not None:
        rights.come_in(first, "")
    return key


TAKE: Mapping[str, Callable[[Fields], str | None]] = {
    "shop": lambda f: shop.save_shop(store(), asked.read_shop(f), rights.acting(), now()),
    "people": take_people,
    "rooms": lambda f: shop.save_rooms(store(), asked.read_rooms(f, wall()), rights.acting(), now()),
    "stations": lambda f: things.save_stations(
        store(), asked.read_stations(f, wall()), rights.acting(), now()
    ),
    "clamps": lambda f: things.save_clamps(store(), asked.read_clamps(f, wall()), rights.acting(), now()),
    "recipes": lambda f: things.save_recipes(
        store(), [n.removeprefix("on-") for n in f if n.startswith("on-")], rights.acting(), now()
    ),
    "kinds": lambda f: things.save_kinds(store(), asked.read_kinds(f, wall()), rights.acting(), now()),
    "pattern": lambda f: work.save_pattern(store(), asked.read_pattern(f), rights.acting(), now()),
    "job": lambda f: work.save_job(store(), asked.read_job(f), rights.acting(), now()),
}
