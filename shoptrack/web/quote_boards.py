"""The size of a part, typed into the form of a quote → one more line of boards to buy."""

from shoptrack.errors import BadInput
from shoptrack.flows.quoting.boards import boards_for
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.quote_draft import with_line
from shoptrack.web.render import Wall

SIZES = ("width", "length", "count")
"""What is typed anew for the next part; its wood, thickness and price may well be the same."""


def with_boards(fields: Fields, wall: Wall) -> dict[str, str]:
    """The form with the boards of a part as a line. Raises BadInput with the field that is wrong."""
    thickness, width, length = (_size(fields, part, wall) for part in ("thickness", "width", "length"))
    count = forms.whole(fields, "boards-count", "How many parts")
    wood = forms.maybe_words(fields, "boards-words", "The wood", 120) or "boards"
    try:
        boards = boards_for(count, thickness, width, length, wall.length_unit == "mm")
    except BadInput as wrong:
        raise BadInput(str(wrong), "boards-thickness") from wrong
    line = {
        "words": f"{wood}, {boards.called}",
        "kind": "material",
        "quantity": f"{boards.quantity:.15g}",
        "unit": boards.unit,
        "each": fields.get("boards-each", "").strip(),
        "waste": "",
    }
    return {**with_line(fields, "bought", line), **{f"boards-{part}": "" for part in SIZES}}


def _size(fields: Fields, part: str, wall: Wall) -> float:
    found = forms.maybe_length(fields, f"boards-{part}", f"The {part}", wall)
    if found is None:
        raise BadInput(f"The {part} is missing.", f"boards-{part}")
    return found
