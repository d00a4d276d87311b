"""Writes the counted parts of docs/validation.md, and the tables in docs/science.md, anew.

Knows the marks in those pages between which a part is written, how a table's evidence column is
counted, how a measured case is told, and how a test says what it checks. Runs no test and judges
no number. Run it with `python3 tools/write_validation.py` whenever a table, a case or a published
check has changed; a test compares.
"""

from __future__ import annotations

import ast
import csv
import re
import sys
import tomllib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

if __name__ == "__main__":  # run as a file: find the neighbours
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tools import ROOT, Stop

DOCS = ROOT / "docs"
PACKAGE = ROOT / "src" / "heapwright"
TESTS = ROOT / "tests"
PUBLISHED = TESTS / "published"

MARKS = ("seen", "handbook", "derived", "common practice", "from memory")
READ = {
    "seen": "read, at least the passage named",
    "second-hand": "read in somebody else's quotation",
    "derived": "computed or defined",
    "from memory": "recalled, not read",
}
_BLOCK = re.compile(r"(<!-- written: ([a-z ]+) -->\n).*?(<!-- end -->)", re.DOTALL)


def render(page: str, text: str) -> str:
    """Return a page with every counted part written anew; what stands between is left alone.

    Parameters
    ----------
    page : str
        One of `PARTS`.
    text : str
        As it is now.

    Raises
    ------
    Stop
        When the page names a part that nobody knows, or lacks one.

    """
    parts = PARTS[page]
    found = [match[2] for match in _BLOCK.finditer(text)]
    if sorted(found) != sorted(parts):
        raise Stop(f"docs/{page} should hold the parts {sorted(parts)}; it has {found}")
    return _BLOCK.sub(lambda match: f"{match[1]}\n{parts[match[2]]()}\n\n{match[3]}", text)


def evidence_part() -> str:
    """Return how many values of each shipped table carry each mark, as a table."""
    counts = {name_of(path): marks_of(path) for path in sourced_tables()}
    total = sum(counts.values(), Counter())
    rows = [[f"`{name}`", *_counted(count)] for name, count in counts.items()]
    rows.append(["**all**", *(f"**{number}**" for number in _counted(total))])
    return table(("table", *MARKS, "values"), rows)


def sources_part() -> str:
    """Return how well the publications behind the tables were read, as a table."""
    listed = tomllib.loads((PACKAGE / "sources.toml").read_text(encoding="utf-8"))
    count = Counter(str(fields.get("read", "")) for fields in listed.values())
    rows = [[how, meaning, str(count[how])] for how, meaning in READ.items()]
    return table(("how we know it", "meaning", "sources"), [*rows, ["all", "", str(len(listed))]])


def published_part() -> str:
    """Return every published check with what it is held against, file by file."""
    parts = []
    for path in sorted(PUBLISHED.glob("test_*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        said = " ".join((ast.get_docstring(tree) or "").split())
        rows = [_published_row(check) for check in checks_of(path)]
        parts.append(f"`tests/published/{path.name}`: {said}\n\n{table(_HEADINGS, rows)}")
    return "\n\n".join(parts)


def misses_part() -> str:
    """Return every published figure that is known not to come out, with the reason given."""
    rows = [[f"`{place}`", reason] for place, reason in known_misses()]
    if not rows:
        return "At present no test is marked as an expected failure."
    return table(("test", "what is missed, both numbers"), rows)


def cases_part() -> str:
    """Return the measured cases the heap model is held against, as a table."""
    rows = [
        [key, str(told["title"]), str(told["source"]), str(told.get("grade", "")), _held(told)]
        for path in sorted((PACKAGE / "validation" / "cases").glob("*.toml"))
        for key, told in tomllib.loads(path.read_text(encoding="utf-8")).items()
    ]
    if not rows:
        return "No measured case ships with the program yet."
    return table(("case", "what", "source", "grade", "held against"), sorted(rows, key=_by_number))


def parameters_part() -> str:
    """Return every number of the heap model with its range and source, as a table."""
    return values_table(PACKAGE / "heap" / "data" / "parameters.csv")


def thresholds_part() -> str:
    """Return what the rules of advice compare with, as a table."""
    return values_table(PACKAGE / "advice" / "data" / "thresholds.csv")


def finish_part() -> str:
    """Return what tests of finished compost are held against, as a table."""
    return values_table(PACKAGE / "finish" / "data" / "thresholds.csv")


PARTS: Mapping[str, Mapping[str, Callable[[], str]]] = {
    "science.md": {
        "heap parameters": parameters_part,
        "advice thresholds": thresholds_part,
        "finish thresholds": finish_part,
    },
    "validation.md": {
        "evidence": evidence_part,
        "sources": sources_part,
        "published checks": published_part,
        "measured cases": cases_part,
        "expected failures": misses_part,
    },
}
_HEADINGS = ("check", "figure, as the test says it")


@dataclass(frozen=True)
class Check:
    """One test function: its name and what its docstring or first comment says."""

    name: str
    said: str


def sourced_tables() -> list[Path]:
    """Return the shipped CSV tables that have an evidence column, by path."""
    return [path for path in sorted(PACKAGE.rglob("*.csv")) if "evidence" in _first_row(path)]


def name_of(path: Path) -> str:
    """Return a table's path inside the package."""
    return path.relative_to(PACKAGE).as_posix()


def marks_of(path: Path) -> Counter[str]:
    """Return how many rows of a table carry each evidence mark.

    Raises
    ------
    Stop
        When a row has a mark that is none of ours.

    """
    count = Counter(row["evidence"] for row in _rows(path))
    if strange := set(count) - set(MARKS):
        raise Stop(f"{name_of(path)} has the evidence mark {strange.pop()!r}")
    return count


def checks_of(path: Path) -> list[Check]:
    """Return the test functions of a file in their order."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    functions = [
        node
        for node in ast.parse(text).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    ]
    return [Check(node.name, _said_in(node, lines)) for node in functions]


def known_misses() -> list[tuple[str, str]]:
    """Return the place and the reason of every expected failure among the tests."""
    found = []
    for path in sorted(TESTS.rglob("test_*.py")):
        for owner, call in _marks(ast.parse(path.read_text(encoding="utf-8"))):
            place = f"{path.relative_to(ROOT).as_posix()}::{owner}"
            found.append((place, _reason(call)))
    return found


def values_table(path: Path) -> str:
    """Return the rows of a parameter table as a table for a reader."""
    rows = [
        [
            f"`{row['id']}`",
            row["quantity"],
            _range(row),
            row["unit"],
            f"{row['source']} ({row['evidence']})"
            if row["source"] != row["evidence"]
            else row["source"],
        ]
        for row in _rows(path)
    ]
    return table(("id", "what", "low–likely–high", "unit", "source (evidence)"), rows)


def table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a Markdown table; a bar inside a cell is written so that it stays in it."""
    lines = [headings, ["---"] * len(headings), *rows]
    return "\n".join(
        "| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines
    )


def _counted(count: Counter[str]) -> list[str]:
    return [*(str(count[mark] or "–") for mark in MARKS), str(count.total())]


def _range(row: Mapping[str, str]) -> str:
    values = [row[name] for name in ("low", "typical", "high")]
    return values[1] if len(set(values)) == 1 else "–".join(values)


def _held(told: Mapping[str, Any]) -> str:
    if "not_tested" in told:
        return f"not tested: {told['not_tested']}"
    count = len(told.get("checks", ()))
    return f"{count} figure{'' if count == 1 else 's'}"


def _by_number(row: Sequence[str]) -> tuple[int, str]:
    digits = re.sub(r"\D", "", row[0])
    return (int(digits) if digits else 0, row[0])


def _rows(path: Path) -> Iterator[dict[str, str]]:
    lines = path.read_text(encoding="utf-8").splitlines()
    yield from csv.DictReader(line for line in lines if not line.startswith("#"))


def _first_row(path: Path) -> Mapping[str, str]:
    return next(_rows(path), {})


def _published_row(check: Check) -> tuple[str, str]:
    return check.name.removeprefix("test_").replace("_", " "), check.said


def _said_in(function: ast.FunctionDef, lines: Sequence[str]) -> str:
    """Return the docstring, else the comment that the body begins with."""
    told = ast.get_docstring(function)
    if told:
        return " ".join(told.split())
    before = lines[function.lineno - 1 : function.body[0].lineno - 1]
    comments = [line.strip().removeprefix("#").strip() for line in before if "    #" in line[:8]]
    return " ".join(comments)


def _marks(tree: ast.Module) -> Iterator[tuple[str, ast.Call]]:
    """Yield every call of `xfail` with the name of the test it stands at."""
    for statement in tree.body:
        owner = getattr(statement, "name", "the module")
        for node in ast.walk(statement):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "xfail":
                yield owner, node


def _reason(call: ast.Call) -> str:
    for keyword in call.keywords:
        if keyword.arg == "reason":
            try:
                return " ".join(str(ast.literal_eval(keyword.value)).split())
            except ValueError:
                return f"(reason is computed: {ast.unparse(keyword.value)})"
    return "(no reason given)"


def main() -> int:
    """Write the pages and say whether they changed."""
    for page in PARTS:
        path = DOCS / page
        before = path.read_text(encoding="utf-8")
        after = render(page, before)
        path.write_text(after, encoding="utf-8")
        print(f"docs/{page} {'was up to date' if after == before else 'is written anew'}")
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except Stop as stop:
        sys.exit(f"write_validation: {stop}")
