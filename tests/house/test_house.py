"""The house keeps its own rules: one version, a fresh lock, tidy files, floors, small rooms."""

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import heapwright
from tools import ROOT, lock, tidy

MOST_LINES_IN_A_FILE = 400
MOST_LINES_IN_A_FUNCTION = 60
PURE = (
    "errors",
    "quantities",
    "sentences",
    "tables",
    "materials",
    "weather",
    "heap",
    "mixing",
    "fitting",
    "advice",
    "decisions",
    "sanitation",
    "finish",
    "diagnosis",
    "season",
    "garden",
)
# What importing floors 0-2 must not load: a log entry typed at the bin should be answered before
# these have been read from the disk.
KEEPING_AND_FACES = {
    "alembic",
    "fastapi",
    "httpx",
    "jinja2",
    "pydantic",
    "sqlalchemy",
    "starlette",
    "typer",
    "uvicorn",
}
HEAVY = {"scipy", "numba", "ortools", "pandas"}
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SOURCES = sorted((ROOT / "src").rglob("*.py"))
OURS = [*SOURCES, *sorted((ROOT / "tools").glob("*.py")), ROOT / "run.py"]


def name_of(path: Path) -> str:
    return str(path.relative_to(ROOT))


def own_functions(tree: ast.Module) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    return [
        node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]


def lines_of_code(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function's body without its docstring."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def pure_packages_here() -> list[str]:
    return [
        f"heapwright.{name}"
        for name in PURE
        if (ROOT / "src/heapwright" / f"{name}.py").exists()
        or (ROOT / "src/heapwright" / name / "__init__.py").exists()
    ]


def test_version_is_the_same_wherever_it_stands() -> None:
    assert heapwright.__version__ == PYPROJECT["project"]["version"]


def test_lock_answers_what_pyproject_asks_for() -> None:
    text = lock.LOCK.read_text(encoding="utf-8")
    assert lock.faults(text, lock.PYPROJECT.read_text(encoding="utf-8")) == []


def test_lock_holds_no_address() -> None:
    assert "://" not in lock.LOCK.read_text(encoding="utf-8")


def test_no_kept_file_holds_a_machine_path_or_a_registry_host() -> None:
    assert tidy.check() == []


@pytest.mark.parametrize("path", OURS, ids=name_of)
def test_file_opens_with_what_it_knows(path: Path) -> None:
    docstring = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    assert docstring, f"{name_of(path)} does not say what it knows and what it does not"


@pytest.mark.parametrize("path", OURS, ids=name_of)
def test_file_and_its_functions_are_small(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = text.count("\n")
    assert lines <= MOST_LINES_IN_A_FILE
    long = {f.name: lines_of_code(f) for f in own_functions(ast.parse(text))}
    assert {name: n for name, n in long.items() if n > MOST_LINES_IN_A_FUNCTION} == {}


def test_nothing_is_left_to_be_done_in_a_comment() -> None:
    # Put together here so that this file does not find itself.
    left = re.compile(r"\b(" + "|".join(["TO" + "DO", "FIX" + "ME", "XX" + "X"]) + r")\b")
    texts = [path for path in tidy.kept_files() if path.suffix in {".py", ".md", ".toml", ".html"}]
    assert [name_of(path) for path in texts if left.search(tidy.text_of(path))] == []


def test_floors_import_downwards_only() -> None:
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-logo", "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout


def test_importing_the_core_loads_nothing_heavy() -> None:
    code = f"import sys, {', '.join(pure_packages_here())}; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert set(done.stdout.split()) & (HEAVY | KEEPING_AND_FACES) == set()
