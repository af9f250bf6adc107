"""What is known of a pattern, the shop and its terms → what a quote’s form shows beside what is typed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.quoting.drafts import begin, refuse_answered, wanted_of
from shoptrack.flows.quoting.wanted import BOUGHT_KINDS, CHARGE_KINDS
from shoptrack.store.customers import names_to_choose
from shoptrack.store.names import material_names, material_words, station_names
from shoptrack.store.quotes import newest_of_pattern, quote_row
from shoptrack.store.shop import every_kind, list_kinds, list_stations
from shoptrack.store.tables import PatternRevisionRow
from shoptrack.store.terms import Terms, terms_on
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.new_job import Measured, measures_of
from shoptrack.web.quote_draft import ROWS, lines
from shoptrack.web.quote_fields import fields_of
from shoptrack.web.render import Wall

Choices = Sequence[tuple[str, str]]

PLAIN = frozenset({
    "title", "pieces", "customer", "new_customer", "margin", "price_at", "price", "valid_days", "deposit",
    "tax", "tax_name", "waste", "least", "hour", "words", "notes", "boards-thickness", "boards-width",
    "boards-length", "boards-count", "boards-words", "boards-each",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Desk:
    """What the form shows: where it goes, the pattern's measures, what may be chosen, the shop's terms.

    ``quote`` is the one that is changed, None for a new one; ``taken_over`` the one whose bought lines are
    proposed.
    """

    address: str
    quote: int | None
    pattern: int | None
    pattern_name: str
    pattern_number: int | None
    taken_over: int | None
    measures: tuple[Measured, ...]
    customers: tuple[str, ...]
    kinds: Choices
    stations: Choices
    kinds_bought: Choices
    kinds_charged: Choices
    terms: Terms
    board_unit: str

    @property
    def heading(self) -> str:
        """What the page is called."""
        return "A new quote" if self.quote is None else f"Quote {self.quote}, the next revision"

    @property
    def save_words(self) -> str:
        """What the button that saves says."""
        return "Save as a draft" if self.quote is None else "Save as the next revision"

    def has_field(self, name: str) -> bool:
        """Whether the page has that field, so that what is wrong with it is said beside it."""
        row, _, part = name.rpartition("-")
        in_rows = any(row.startswith(f"{of}-") and part in parts for of, parts in ROWS.items())
        return name in PLAIN or in_rows or name in {f"measure-{m.position}" for m in self.measures}


def desk_of(session: Session, fields: Fields, quote: int | None, wall: Wall, today: date) -> Desk:
    """The desk for what is in the form. A pattern's revision that is not there: a list of stages."""
    said = fields.get("revision", "")
    number = int(said) if said.isascii() and said.isdigit() and len(said) < 10 else 0
    revision = session.get(PatternRevisionRow, number)
    last = newest_of_pattern(session, revision.pattern_id) if revision and quote is None else None
    return Desk(
        address="/quotes/new" if quote is None else f"/quotes/{quote}/revise",
        quote=quote,
        pattern=revision.pattern_id if revision else None,
        pattern_name=revision.pattern.name if revision else "",
        pattern_number=revision.number if revision else None,
        taken_over=last.quote_id if last and lines(fields, "bought") else None,
        measures=measures_of(session, revision),
        customers=names_to_choose(session),
        kinds=_kinds(session, fields),
        stations=_stations(session, fields),
        kinds_bought=_kinds_bought(session, fields),
        kinds_charged=[(kind, kind) for kind in CHARGE_KINDS],
        terms=terms_on(session, today),
        board_unit="m³" if wall.length_unit == "mm" else "board foot",
    )


def _kinds(session: Session, fields: Fields) -> Choices:
    """The kinds of stage in use, and those no longer in use that the form has."""
    own = [(str(k.id), f"{k.name}, {k.unit}" if k.unit else k.name) for k in list_kinds(session)]
    return _with_retired(
        own, fields, "stage", "kind", {str(n): k.name for n, k in every_kind(session).items()}
    )


def _stations(session: Session, fields: Fields) -> Choices:
    own = [(str(s.id), s.name) for s in list_stations(session)]
    names = {str(n): name for n, name in station_names(session).items()}
    return _with_retired(own, fields, "stage", "station", names)


def _kinds_bought(session: Session, fields: Fields) -> Choices:
    own = [(f"m{number}", words) for number, words in material_words(session)]
    names = {f"m{number}": name for number, name in material_names(session).items()}
    own = _with_retired(own, fields, "bought", "kind", names)
    return [("material", "material, other" if own else "material"), *own, *((k, k) for k in BOUGHT_KINDS[1:])]


def _with_retired(
    own: list[tuple[str, str]], fields: Fields, name: str, part: str, names: Mapping[str, str]
) -> list[tuple[str, str]]:
    """Choices with what the form has chosen already though it is no longer offered."""
    chosen = dict.fromkeys(fields.get(f"{name}-{n}-{part}", "") for n in range(lines(fields, name)))
    offered = {each for each, _ in own}
    return [*own, *((each, names[each]) for each in chosen if each in names and each not in offered)]


def begun(session: Session, pattern: str, wall: Wall) -> dict[str, str]:
    """The fields that a new quote begins with: of a pattern by its number, else of a list of stages.

    What is bought is as in the pattern's last quote, for as many pieces. Raises NotFound.
    """
    if pattern == "none":
        return {"pieces": "1", **{f"{name}-lines": "1" for name in ROWS}}
    number = int(pattern) if pattern.isascii() and pattern.isdigit() and len(pattern) < 10 else 0
    last = newest_of_pattern(session, number)
    wanted = begin(session, number, last.pieces if last else 1)
    if wanted is None:
        raise NotFound("There is no such pattern.")
    return _with_first_lines(fields_of(wanted, wall))


def proposed_again(session: Session, fields: Fields, wall: Wall) -> dict[str, str]:
    """The form with what the pattern's last quote bought, for as many pieces as it says. Raises BadInput."""
    pieces = forms.whole(fields, "pieces", "The number of pieces")
    pattern = desk_of(session, fields, None, wall, date.min).pattern
    wanted = None if pattern is None else begin(session, pattern, pieces)
    if wanted is None or not wanted.bought:
        raise BadInput("Nothing was bought in an earlier quote of this pattern.")
    proposed = fields_of(wanted, wall)
    bought = {name: value for name, value in proposed.items() if name.startswith("bought-")}
    return {**{k: v for k, v in fields.items() if not k.startswith("bought-")}, **bought}


def taken_up(session: Session, quote: int, wall: Wall) -> dict[str, str]:
    """The fields of a quote that is to be changed. Raises Refused once it is answered, NotFound."""
    row = quote_row(session, quote)
    refuse_answered(row)
    return _with_first_lines({**fields_of(wanted_of(session, quote), wall), "base": str(len(row.revisions))})


def _with_first_lines(fields: dict[str, str]) -> dict[str, str]:
    """Each list with a line to write in, where it has none."""
    return {**fields, **{f"{name}-lines": str(max(lines(fields, name), 1)) for name in ROWS}}
