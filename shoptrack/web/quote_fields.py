"""The form of a quote → what is wanted, each field refused by name; and what is wanted back into fields."""

from collections.abc import Mapping

from shoptrack.errors import BadInput
from shoptrack.flows.quoting.wanted import (
    BOUGHT_KINDS,
    CHARGE_KINDS,
    TermsSaid,
    Wanted,
    WantedCharge,
    WantedLine,
    WantedOption,
    WantedStage,
)
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.quote_draft import lines, of_material
from shoptrack.web.render import Wall, cents_field, share_field

PRICE_AT = ("eight in ten", "half")
MOST_ID = 2**31 - 1


def read_wanted(fields: Fields, wall: Wall, whole: bool = True) -> Wanted:
    """What the form asks for, its lines closed up. Raises BadInput with the field that is wrong.

    Not ``whole``: it is only reckoned, so that the customer may be missing still.
    """
    revision = forms.maybe_id(fields, "revision", "The pattern")
    at = forms.choice(fields, "price_at", "What the price stands on", PRICE_AT)
    return Wanted(
        customer=(forms.words if whole else forms.maybe_words)(fields, "customer", "The customer", 220),
        new_customer=bool(fields.get("new_customer")),
        title=forms.words(fields, "title", "Its title"),
        pieces=forms.whole(fields, "pieces", "The number of pieces"),
        revision=revision,
        measures=_measures(fields) if revision is not None else {},
        stages=()
        if revision is not None
        else tuple(_stage(fields, n) for n in range(lines(fields, "stage"))),
        bought=tuple(_bought(fields, n, wall) for n in range(lines(fields, "bought"))),
        charges=tuple(_charge(fields, n, wall) for n in range(lines(fields, "charge"))),
        options=tuple(_option(fields, n, wall) for n in range(lines(fields, "option"))),
        terms=_terms(fields, wall),
        price_at="half" if at == "half" else "eight in ten",
        price_cents=forms.maybe_cents(fields, "price", wall.currency),
        words=forms.maybe_words(fields, "words", "What the customer reads", forms.LONGEST_NOTE),
        notes=forms.maybe_words(fields, "notes", "The note", forms.LONGEST_NOTE),
    )


def _measures(fields: Fields) -> Mapping[int, float]:
    named = {name: name.removeprefix("measure-") for name in fields if name.startswith("measure-")}
    return {
        int(place): value
        for name, place in named.items()
        if place.isascii() and place.isdigit() and len(place) < 4
        if (value := forms.measure(fields, name, "A measure")) is not None
    }


def _stage(fields: Fields, n: int) -> WantedStage:
    at = f"stage-{n}"
    kind = forms.maybe_id(fields, f"{at}-kind", "The kind of stage")
    if kind is None:
        raise BadInput("Choose the kind of stage.", f"{at}-kind")
    return WantedStage(
        kind=kind,
        quantity=_quantity(fields, f"{at}-quantity", "The measure"),
        name=forms.maybe_words(fields, f"{at}-name", "The name"),
        station=forms.maybe_id(fields, f"{at}-station", "The station"),
    )


def _quantity(fields: Fields, name: str, called: str) -> float:
    found = forms.measure(fields, name, called)
    if found is None:
        raise BadInput(f"{called} is missing.", name)
    return found


def _bought(fields: Fields, n: int, wall: Wall) -> WantedLine:
    at = f"bought-{n}"
    said = fields.get(f"{at}-kind", "")
    material = of_material(said)
    each = forms.maybe_cents(fields, f"{at}-each", wall.currency)
    if each is None and material is None:
        raise BadInput("Say what one costs.", f"{at}-each")
    return WantedLine(
        kind="material"
        if material is not None
        else forms.choice(fields, f"{at}-kind", "Its kind", BOUGHT_KINDS),
        words=(forms.maybe_words if material is not None else forms.words)(
            fields, f"{at}-words", "What is bought"
        ),
        quantity=_quantity(fields, f"{at}-quantity", "The quantity"),
        cents_each=each,
        waste_bp=_share(fields, f"{at}-waste", "The waste", 30_000),
        unit=forms.maybe_words(fields, f"{at}-unit", "The unit", 40),
        material=material,
    )


def _charge(fields: Fields, n: int, wall: Wall) -> WantedCharge:
    at = f"charge-{n}"
    kind = forms.choice(fields, f"{at}-kind", "Its kind", CHARGE_KINDS)
    words = forms.maybe_words(fields, f"{at}-words", "Its words")
    return WantedCharge(kind, words or kind, _money(fields, f"{at}-price", wall))


def _option(fields: Fields, n: int, wall: Wall) -> WantedOption:
    at = f"option-{n}"
    words = forms.words(fields, f"{at}-words", "What may be chosen")
    return WantedOption(words, _money(fields, f"{at}-price", wall), bool(fields.get(f"{at}-in_total")))


def _money(fields: Fields, name: str, wall: Wall) -> int:
    cents = forms.maybe_cents(fields, name, wall.currency)
    if cents is None:
        raise BadInput("Its price is missing.", name)
    return cents


def _terms(fields: Fields, wall: Wall) -> TermsSaid:
    days = fields.get("valid_days", "").strip()
    return TermsSaid(
        margin_bp=_share(fields, "margin", "The margin", 9_500),
        waste_bp=_share(fields, "waste", "The waste", 30_000),
        tax_bp=forms.maybe_tax(fields, "tax"),
        tax_name=forms.maybe_words(fields, "tax_name", "The name of the tax", 40) or None,
        least_cents=forms.maybe_cents(fields, "least", wall.currency),
        deposit_bp=_share(fields, "deposit", "The deposit", 10_000),
        valid_days=forms.whole(fields, "valid_days", "The days it holds", most=3650) if days else None,
        hands_cents_per_h=forms.maybe_cents(fields, "hour", wall.currency),
    )


def _share(fields: Fields, name: str, called: str, most_bp: int) -> int | None:
    """A share in hundredths of a per cent; None where nothing is written. Raises BadInput past the most."""
    found = forms.maybe_share(fields, name)
    if found is not None and found > most_bp:
        raise BadInput(f"{called} is at most {most_bp // 100} %.", name)
    return found


def fields_of(wanted: Wanted, wall: Wall) -> dict[str, str]:
    """What is wanted as the form is filled in with it."""
    lists = {
        "stage": [_stage_fields(each) for each in wanted.stages],
        "bought": [_bought_fields(each, wall) for each in wanted.bought],
        "charge": [
            {"kind": c.kind, "words": c.words, "price": cents_field(c.cents, wall)} for c in wanted.charges
        ],
        "option": [_option_fields(each, wall) for each in wanted.options],
    }
    return {
        "title": wanted.title,
        "customer": wanted.customer,
        "pieces": str(wanted.pieces),
        "revision": "" if wanted.revision is None else str(wanted.revision),
        "price_at": wanted.price_at,
        "price": cents_field(wanted.price_cents, wall),
        "words": wanted.words,
        "notes": wanted.notes,
        **{f"measure-{place}": _plain(value) for place, value in wanted.measures.items()},
        **_terms_fields(wanted.terms, wall),
        **{f"{name}-lines": str(len(found)) for name, found in lists.items()},
        **{
            f"{name}-{n}-{part}": value
            for name, found in lists.items()
            for n, line in enumerate(found)
            for part, value in line.items()
        },
    }


def _stage_fields(stage: WantedStage) -> dict[str, str]:
    station = "" if stage.station is None else str(stage.station)
    return {
        "kind": str(stage.kind), "name": stage.name, "quantity": _plain(stage.quantity), "station": station,
    }  # fmt: skip


def _bought_fields(line: WantedLine, wall: Wall) -> dict[str, str]:
    return {
        "words": line.words,
        "kind": line.kind if line.material is None else f"m{line.material}",
        "quantity": _plain(line.quantity),
        "unit": line.unit,
        "each": cents_field(line.cents_each, wall),
        "waste": share_field(line.waste_bp),
    }


def _option_fields(option: WantedOption, wall: Wall) -> dict[str, str]:
    said = {"words": option.words, "price": cents_field(option.cents, wall)}
    return {**said, "in_total": "yes"} if option.in_total else said


def _terms_fields(terms: TermsSaid, wall: Wall) -> dict[str, str]:
    return {
        "margin": share_field(terms.margin_bp),
        "waste": share_field(terms.waste_bp),
        "tax": share_field(terms.tax_bp),
        "tax_name": terms.tax_name or "",
        "least": cents_field(terms.least_cents, wall),
        "deposit": share_field(terms.deposit_bp),
        "valid_days": "" if terms.valid_days is None else str(terms.valid_days),
        "hour": cents_field(terms.hands_cents_per_h, wall),
    }


def _plain(value: float) -> str:
    """A number for a field, without a needless nought: the same number when it is read again."""
    return repr(float(value)).removesuffix(".0")
