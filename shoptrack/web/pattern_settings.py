"""The settings of a stage, kept as lines of text, to fields: the usual ones and the rest; and back."""

from collections.abc import Mapping

from shoptrack.web import forms
from shoptrack.web.forms import Fields

USUAL: Mapping[str, str] = {
    "fence": "fence",
    "bit": "bit",
    "depth": "depth",
    "gap": "gap",
    "clamp_layout": "clamp layout",
}
"""The settings that have a field of their own, with the word that their line begins with."""


def settings_fields(text: str) -> dict[str, str]:
    """The fields that hold a text of settings: a line "fence: 3 in" fills the fence, the rest is free."""
    found: dict[str, str] = {}
    free = []
    words = {word: name for name, word in USUAL.items()}
    for line in text.splitlines():
        word, colon, said = line.partition(":")
        name = words.get(word.strip().lower()) if colon and said.strip() else None
        if name is None or name in found:
            free.append(line)
        else:
            found[name] = said.strip()
    return {**found, "settings": "\n".join(free).strip()}


def settings_text(typed: Fields) -> str:
    """The lines of what was typed: the usual settings in their order, then the rest. Raises BadInput."""
    lines = [
        f"{word}: {said}"
        for name, word in USUAL.items()
        if (said := forms.maybe_words(typed, name, f"The {word}"))
    ]
    free = forms.maybe_words(typed, "settings", "The text of the settings", forms.LONGEST_NOTE)
    return "\n".join([*lines, *free.splitlines()])
