"""What the docs say against what the code does: maps, tables, commands, settings, links, pictures."""

import re
from pathlib import Path

import click
import pytest

from shoptrack.cli import main as command_line
from shoptrack.config import load
from shoptrack.errors import BadInput
from tests.made_docs import MADE, part
from tests.source import ROOT, first_line, modules

PAGES = sorted(
    path.relative_to(ROOT)
    for folder in (".", "docs", "docs/decisions", "instance")
    for path in (ROOT / folder).glob("*.md")
)


def read(page: Path | str) -> str:
    return (ROOT / page).read_text(encoding="utf-8")


@pytest.mark.parametrize(("page", "name"), MADE)
def test_what_is_made_from_the_code_is_up_to_date(page: str, name: str) -> None:
    """The map, the tables, the kinds of entry and the commands; `make map` writes them anew."""
    assert part(page, name) == MADE[page, name](), "run: make map"


def test_the_map_has_every_module() -> None:
    said = part("DEVELOPERS.md", "map")
    assert all(first_line(module) in said for module in modules())


def test_every_command_and_option_says_what_it_does() -> None:
    assert isinstance(command_line, click.Group)
    said = read("docs/index.md")
    for name, command in command_line.commands.items():
        assert command.help, name
        assert f"`shoptrack {name}`" in said
        for option in (p for p in command.params if isinstance(p, click.Option)):
            assert option.help, f"{name} {option.opts[0]}"
            assert option.opts[0] in said


def test_every_variable_of_the_environment_is_told() -> None:
    """Whatever the program, the tests or the Makefile read."""
    said = read("instance/README.md")
    files = [ROOT / m for folder in ("shoptrack", "tests") for m in modules(folder)]
    found = {name for file in files for name in re.findall(r"\bSHOPTRACK_[A-Z_]+\b", file.read_text("utf-8"))}
    assert {"SHOPTRACK_INSTANCE", "SHOPTRACK_DATABASE_URL"} <= found
    assert {name for name in found if f"`{name}`" not in said} == set()


def settings_told() -> list[str]:
    table = read("instance/README.md").split("| setting |")[1].split("\n\n")[0]
    return re.findall(r"^\| `(\w+)`", table, re.MULTILINE)


VALUES = {"host": '"127.0.0.1"', "port": "8751", "second_backup_folder": '"copies"'}


@pytest.mark.parametrize("name", settings_told())
def test_a_setting_that_is_told_is_known(name: str, tmp_path: Path) -> None:
    (tmp_path / "config.toml").write_text(f"{name} = {VALUES[name]}\n", encoding="utf-8")
    assert VALUES[name].strip('"') in str(getattr(load(tmp_path), name))


def test_every_known_setting_is_told(tmp_path: Path) -> None:
    """The settings that the code takes are those of the table, and another is refused."""
    known = re.findall(r'settings\.get\("(\w+)"', read("shoptrack/config.py"))
    assert sorted(set(known)) == sorted(settings_told())
    (tmp_path / "config.toml").write_text("colour = 1\n", encoding="utf-8")
    with pytest.raises(BadInput, match="colour"):
        load(tmp_path)


@pytest.mark.parametrize("page", PAGES, ids=str)
def test_links_lead_somewhere(page: Path) -> None:
    text = re.sub(r"```.*?```", "", read(page), flags=re.DOTALL)
    links = re.findall(r"\]\(([^)\s]+)\)", text) + re.findall(r'src="([^"]+)"', text)
    for link in links:
        if "://" in link:
            continue
        file, _, heading = link.partition("#")
        target = (ROOT / page).parent / file if file else ROOT / page
        assert target.exists(), link
        assert not heading or heading in headings(target), link


def headings(page: Path) -> set[str]:
    """The names that a page's headings have in a link."""
    found = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", text.lower()).replace(" ", "-") for text in found}


def test_every_page_can_be_reached_from_the_readme() -> None:
    reached, left = set[Path](), [ROOT / "README.md"]
    while left:
        page = left.pop()
        if page in reached:
            continue
        reached.add(page)
        links = re.findall(r"\]\(([^)\s#]+\.md)", page.read_text(encoding="utf-8"))
        left += [(page.parent / link).resolve() for link in links]
    assert {ROOT / page for page in PAGES} <= reached


def test_the_readme_begins_with_the_job_and_two_commands() -> None:
    """The first paragraph says who does what with it; the tour has ten lines; both commands are there."""
    text = read("README.md")
    first = text.split("\n\n")[1]
    assert "wood shop" in first
    assert "curing" in first
    tour = text.split("## A tour in ten lines")[1].split("\n## ")[0]
    assert len(re.findall(r"^\d+\. ", tour, re.MULTILINE)) == 10
    assert re.findall(r"^    (make \w+)", text, re.MULTILINE) == ["make demo", "make test"]


def test_what_the_makefile_offers_is_told() -> None:
    targets = re.findall(r"^([a-z-]+):.*## ", read("Makefile"), re.MULTILINE)
    said = read("DEVELOPERS.md")
    assert {"demo", "test", "check"} <= set(targets)
    assert [t for t in targets if t != "help" and f"`make {t}`" not in said] == []


@pytest.mark.parametrize("name", ["floor", "bench"])
def test_the_pictures_are_small(name: str) -> None:
    picture = ROOT / "docs" / "pictures" / f"{name}.png"
    assert picture.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    assert 5_000 < picture.stat().st_size < 120_000
