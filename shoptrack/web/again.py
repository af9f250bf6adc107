"""A form whose writing can't be read → the same form again: all that was typed, and why beside its field."""

from dataclasses import dataclass

from flask import make_response, render_template
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from shoptrack.errors import BadInput
from shoptrack.flows.shopfloor import Sight
from shoptrack.web.render import Wall

FIELD_OF = {"cents": "cost", "value_c": "warmth", "ago_min": "when"}
"""Where a form calls a member otherwise than the book does."""
CALLED = {
    "count": "how many",
    "out_of": "out of",
    "minutes": "minutes",
    "cost": "cost, {currency}",
    "warmth": "temperature, °{warmth}",
    "text": "words",
    "look_again_on": "look again on",
    "when": "how many minutes ago",
}
TITLES = {
    "answer": "The answer",
    "closed": "Closed",
    "finish": "Done",
    "help": "Help",
    "mend": "Mended",
    "note": "Note",
    "put-aside": "Put aside",
    "recount": "Clamps counted",
    "round": "Some more done",
    "spoil": "Spoiled",
    "temperature": "Temperature read",
    "unclamp": "Clamps off",
}

Form = MultiDict[str, str]


@dataclass(frozen=True, slots=True)
class Asked:
    """One field that was typed, as it is shown again."""

    name: str
    called: str
    typed: str


def ask_again(form: Form, wrong: BadInput, sight: Sight, wall: Wall, back: str) -> Response:
    """The page with the refused form, to be sent again with the same hidden id.

    Raises ``wrong`` itself when it is of no field that a hand fills in.
    """
    at = FIELD_OF.get(wrong.field, wrong.field)
    if at not in CALLED:
        raise wrong
    asked = asked_of(form, at, wall)
    shown = {field.name for field in asked}
    kept = [(n, v) for n, v in form.items(multi=True) if n not in shown and n != "count_is"]
    page = render_template(
        "bench/again.html",
        title=TITLES.get(form.get("kind", ""), "Not yet written down"),
        about=about(form, sight),
        asked=asked,
        kept=kept,
        fields={field.name: field.typed for field in asked},
        wrong=BadInput(str(wrong), at),
        back=back,
    )
    return make_response(page, 400)


def asked_of(form: Form, at: str, wall: Wall) -> list[Asked]:
    """The typed fields of a form in the order of ``CALLED``, and the one that is wrong in any case.

    When it was is shown only if it is wrong: else it may be an instant, which nobody types.
    """
    typed = {name: form[name] for name in CALLED if name in form and (name != "when" or at == "when")}
    if form.get("count_is"):
        typed["count"] = form["count_is"]
    typed.setdefault(at, "")
    spoken = {"currency": wall.currency, "warmth": wall.temperature_unit}
    return [Asked(name, CALLED[name].format(**spoken), typed[name]) for name in CALLED if name in typed]


def about(form: Form, sight: Sight) -> str:
    """Whom and what the form speaks of, with the button that was pressed: "Piet · K7 panel · dull edge"."""
    world = sight.world
    stages = [world.stages.get(_id(text)) for text in form.getlist("stage")]
    tagged = [f"{world.jobs[s.job].tag} {s.name}" for s in stages if s is not None]
    person = world.people.get(_id(form.get("person", "")))
    job = world.jobs.get(_id(form.get("job", "")))
    words = [person.name if person else "", job.tag if job else "", ", ".join(tagged)]
    return " · ".join(w for w in (*words, form.get("cause", ""), form.get("reason", "")) if w)


def _id(text: str) -> int:
    """A number from a form's hidden field, nought where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
