"""Holds the documentation to what is there: every command, page, setting, table and entry kind.

Knows where each is listed in the program and where it must be told. Judges no sentence.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import typer

from heapwright.advice.types import Job
from heapwright.cli.app import app as command_line
from heapwright.journal.entries import EntryKind, GardenSettings
from tests.routes_there import routes_there
from tools import ROOT, write_validation

DOCS = ROOT / "docs"
PACKAGE = ROOT / "src" / "heapwright"
HOW_TO, SCIENCE = (
    (DOCS / f"{name}.md").read_text(encoding="utf-8") for name in ("how-to", "science")
)
PAGES = sorted([*DOCS.glob("*.md"), *ROOT.glob("*.md")])
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
HEADING = re.compile(r"^#+ +(.+)$", re.MULTILINE)
CODE = re.compile(r"^```[\s\S]*?^```|^(?: {4}|\t).*$", re.MULTILINE)
#: Options of every command, told once for all of them.
SHARED_OPTIONS = {"--garden", "--units", "--json", "--help", "-h"}


@cache
def commands() -> dict[str, Any]:
    """Return every command by the words it is called with; groups too, for they list."""
    return dict(_commands_in(typer.main.get_command(command_line), ""))


def _commands_in(group: Any, before: str) -> Iterator[tuple[str, Any]]:
    for name, command in group.commands.items():
        words = f"{before} {name}".strip()
        yield words, command
        if hasattr(command, "commands"):
            yield from _commands_in(command, words)


def row_of(words: str) -> str:
    """Return the row of the table of commands that tells of this one."""
    found = [
        line
        for line in HOW_TO.splitlines()
        if line.startswith("| `heapwright ") and re.search(rf"`heapwright {words}[`\s\[]", line)
    ]
    assert found, f"docs/how-to.md has no row for `heapwright {words}` in its table of commands"
    return found[0]


@pytest.mark.parametrize("words", sorted(commands()))
def test_every_command_has_help_and_its_row_with_its_options(words: str) -> None:
    command = commands()[words]
    assert command.help, f"`heapwright {words}` has no help"
    row = row_of(words)
    own = {
        option
        for parameter in command.params
        for option in (*parameter.opts, *parameter.secondary_opts)
        if option.startswith("-")
    }
    missing = sorted(o for o in own - SHARED_OPTIONS if f"`{o}`" not in row)
    assert missing == [], f"docs/how-to.md does not tell of {missing} of `heapwright {words}`"


@pytest.mark.parametrize("option", sorted(SHARED_OPTIONS - {"-h"}))
def test_options_of_every_command_are_told_once(option: str) -> None:
    assert f"`{option}" in HOW_TO


@pytest.fixture(scope="module")
def web_paths(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """Return the address of everything the pages' application answers to."""
    from heapwright.web.app import create_app

    app = create_app(tmp_path_factory.mktemp("docs") / "garden.heapwright")
    app.state.garden.close()
    return {route.path for route in routes_there(app.routes)}


def told_paths() -> set[str]:
    """Return the addresses that the documentation tells of."""
    told = re.findall(r"`(?:GET |POST )?(/[^`?]*)`", section("Every page and address"))
    return set(told)


def test_every_page_and_address_is_told(web_paths: set[str]) -> None:
    assert sorted(web_paths - told_paths()) == [], "docs/how-to.md does not tell of these"


def test_every_page_and_address_that_is_told_is_there(web_paths: set[str]) -> None:
    assert sorted(told_paths() - web_paths) == [], "docs/how-to.md tells of these in vain"


@pytest.mark.parametrize("name", [field.name for field in fields(GardenSettings)])
def test_every_setting_is_told(name: str) -> None:
    table = section("Every setting")
    assert f"`{name}`" in table, f"docs/how-to.md does not tell of the setting {name}"


@pytest.mark.parametrize("job", [str(job) for job in Job])
def test_every_job_of_today_is_told(job: str) -> None:
    first_words = [
        line.split("|")[1] for line in section("What Today means").splitlines() if "|" in line
    ]
    assert any(job in words for words in first_words), f"docs/how-to.md does not tell of {job}"


@pytest.mark.parametrize("kind", [str(kind) for kind in EntryKind])
def test_every_kind_of_entry_is_told_with_its_fields(kind: str) -> None:
    from heapwright.journal.forms import FORMS

    row = next(
        (
            line
            for line in section("Every kind of entry").splitlines()
            if line.startswith(f"| `{kind}` |")
        ),
        None,
    )
    assert row is not None, f"docs/how-to.md does not tell of the entry kind {kind}"
    if kind != EntryKind.GARDEN:  # its fields are the settings, held above
        names = [name for name in FORMS[EntryKind(kind)] if not re.search(rf"\b{name}\b", row)]
        assert names == [], f"docs/how-to.md does not tell of {names} of a {kind}"


def shipped_tables() -> list[str]:
    """Return the path inside the package of every table that ships with it."""
    paths = [path for path in PACKAGE.rglob("*") if path.suffix in {".csv", ".toml"}]
    return sorted(path.relative_to(PACKAGE).as_posix() for path in paths)


@pytest.mark.parametrize("name", shipped_tables())
def test_every_table_is_told(name: str) -> None:
    assert f"`{name}`" in SCIENCE, f"docs/science.md does not tell of the table {name}"


def test_every_table_that_is_told_is_there() -> None:
    table = section("Where each table lies", SCIENCE)
    told = set(re.findall(r"`([\w/]+[\w-]*\.(?:csv|toml))`", table))
    assert told == set(shipped_tables())


def test_every_reference_stands_in_the_list_and_every_id_resolves() -> None:
    listed = section("References", SCIENCE)
    numbers = {int(n) for n in re.findall(r"^(\d+)\. ", listed, re.MULTILINE)}
    cited = {int(n) for n in re.findall(r"\[(\d+)(?:, [^\]]*)?\]", SCIENCE.replace(listed, ""))}
    assert cited <= numbers
    assert numbers == set(range(1, len(numbers) + 1))
    sources = tomllib.loads((PACKAGE / "sources.toml").read_text(encoding="utf-8"))
    assert set(re.findall(r"`([a-z][a-z0-9-]+)`$", listed, re.MULTILINE)) <= set(sources)


def section(title: str, text: str = HOW_TO) -> str:
    """Return what stands under a heading of the second level."""
    start = text.index(f"\n## {title}\n")
    end = text.find("\n## ", start + 1)
    return text[start : end if end > 0 else len(text)]


def links() -> list[tuple[str, str]]:
    """Return every link of every page, by page and target; those inside code are none."""
    return [
        (page.relative_to(ROOT).as_posix(), target)
        for page in PAGES
        for target in LINK.findall(CODE.sub("", page.read_text(encoding="utf-8")))
    ]


@pytest.mark.parametrize(("page", "target"), links())
def test_no_link_is_broken(page: str, target: str) -> None:
    if target.startswith(("http://", "https://", "mailto:")):
        return  # another machine's pages are not asked in a test
    path, _, anchor = target.partition("#")
    aim = (ROOT / page).parent / path if path else ROOT / page
    assert aim.exists(), f"{page} links to {target}, which is not there"
    if anchor:
        assert anchor in anchors(aim), f"{page} links to {target}, but no heading is called so"


def anchors(page: Path) -> set[str]:
    """Return the anchors of a page's headings, as the usual renderers make them."""
    titles = HEADING.findall(page.read_text(encoding="utf-8"))
    bare = [re.sub(r"[^\w\- ]", "", title.strip().lower()) for title in titles]
    return {title.replace(" ", "-") for title in bare}


@pytest.mark.parametrize("page", sorted(write_validation.PARTS))
def test_page_is_what_its_writer_writes(page: str) -> None:
    """When this fails: `python3 tools/write_validation.py`, and read what changed."""
    text = (DOCS / page).read_text(encoding="utf-8")
    assert write_validation.render(page, text) == text


def test_every_known_miss_gives_both_numbers() -> None:
    for place, reason in write_validation.known_misses():
        assert len(re.findall(r"\d+(?:\.\d+)?", reason)) >= 2, f"{place}: {reason}"


def test_every_page_of_the_documentation_is_linked_from_another() -> None:
    aimed = {
        ((ROOT / page).parent / target.partition("#")[0]).resolve()
        for page, target in links()
        if not target.startswith(("http", "#"))
    }
    lonely = [page.name for page in DOCS.glob("*.md") if page.resolve() not in aimed]
    assert lonely == []
