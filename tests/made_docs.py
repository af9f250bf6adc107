"""The code → the parts of the docs that are made from it, between marks; run, it writes them (make map)."""

import re
from collections.abc import Callable, Mapping

import click
from sqlalchemy import Column, Table

from shoptrack.cli import main as command_line
from shoptrack.flows.entry_fields import FIELDS
from shoptrack.flows.entry_kinds import KINDS
from shoptrack.store.tables import Base
from tests import starting_docs
from tests.source import ROOT, first_line, modules

LAYERS = ("", "web", "demo", "flows", "store", "engine")


def map_of_modules() -> str:
    """Each module with what it turns into what, by folder."""
    parts = []
    for layer in LAYERS:
        own = [m for m in modules() if (m.parts[1] if len(m.parts) > 2 else "") == layer]
        title = f"shoptrack/{layer}" if layer else "shoptrack"
        lines = [f"- `{m.relative_to(title).as_posix()}` – {first_line(m)}" for m in own]
        parts.append("\n".join([f"**{title}/**", "", *lines]))
    return "\n\n".join(parts)


def tables() -> str:
    """Each table with its columns; what a row is comes from the class that declares it."""
    rows = {m.local_table.name: m.class_ for m in Base.registry.mappers if isinstance(m.local_table, Table)}
    parts = []
    for name in sorted(Base.metadata.tables):
        says = " ".join((rows[name].__doc__ or "").partition("\n\n")[0].split())
        columns = [_column(c) for c in Base.metadata.tables[name].columns]
        parts.append(
            "\n".join([f"### {name}", "", says, "", "| column | kind | |", "|---|---|---|", *columns])
        )
    return "\n\n".join(parts)


def _column(column: Column[object]) -> str:
    kind = {"Instant": "instant (UTC)", "Json": "JSON"}.get(type(column.type).__name__, "")
    kind = kind or str(column.type).lower().replace("varchar", "text")
    notes = ["key"] if column.primary_key else []
    notes += [f"→ {key.target_fullname}" for key in column.foreign_keys]
    notes += ["may be empty"] if column.nullable else []
    return f"| {column.name} | {kind} | {', '.join(notes)} |"


def entry_kinds() -> str:
    """Each kind of entry with what it must and may say."""
    lines = ["| kind | means | must say | may say |", "|---|---|---|---|"]
    for kind in KINDS.values():
        lines.append(f"| {kind.name} | {kind.means} | {_words(kind.must)} | {_words(kind.may)} |")
    return "\n".join(lines)


def entry_fields() -> str:
    """Each choice of words that a member of an entry leaves."""
    chosen = {n: f.schema["enum"] for n, f in FIELDS.items() if "enum" in f.schema}
    lines = [f"- `{n}`: {', '.join(map(str, e))}" for n, e in chosen.items() if isinstance(e, list)]
    return "\n".join(lines)


def _words(names: tuple[str, ...]) -> str:
    return ", ".join(f"`{n}`" for n in names)


def commands() -> str:
    """Each command with its options and what they do."""
    assert isinstance(command_line, click.Group)
    lines = ["| command | what it does |", "|---|---|"]
    for name, command in sorted(command_line.commands.items()):
        lines.append(f"| `shoptrack {name}` | {_help(command.help)} |")
        for parameter in command.params:
            said = (
                " ".join(parameter.opts)
                if isinstance(parameter, click.Option)
                else parameter.human_readable_name
            )
            what = parameter.help if isinstance(parameter, click.Option) else "what it works on"
            lines.append(f"| &emsp;`{said}` | {_help(what)} |")
    return "\n".join(lines)


def _help(text: str | None) -> str:
    return " ".join((text or "").split("\n\n")[0].split())


MADE: Mapping[tuple[str, str], Callable[[], str]] = {
    ("DEVELOPERS.md", "map"): map_of_modules,
    ("docs/data.md", "tables"): tables,
    ("docs/data.md", "kinds"): entry_kinds,
    ("docs/data.md", "words"): entry_fields,
    ("docs/index.md", "commands"): commands,
    ("docs/starting-values.md", "glues"): starting_docs.glues,
    ("docs/starting-values.md", "finishes"): starting_docs.finishes,
    ("docs/starting-values.md", "kinds"): starting_docs.kinds,
    ("docs/starting-values.md", "things"): starting_docs.things,
    ("docs/starting-values.md", "edges"): starting_docs.edges,
}
"""Which part of which page is made by what."""


def part(file: str, name: str) -> str:
    """What a page says between a part's marks now."""
    found = _between(name).search((ROOT / file).read_text(encoding="utf-8"))
    return found[2].strip() if found else ""


def write(file: str, name: str) -> None:
    """Put what the code says between a part's marks."""
    page = ROOT / file
    made = MADE[file, name]()
    text = page.read_text(encoding="utf-8")
    page.write_text(_between(name).sub(lambda m: f"{m[1]}\n\n{made}\n\n{m[3]}", text), encoding="utf-8")


def _between(name: str) -> re.Pattern[str]:
    return re.compile(rf"(<!-- made: {name} -->)(.*?)(<!-- end: {name} -->)", re.DOTALL)


if __name__ == "__main__":
    for where in MADE:
        write(*where)
