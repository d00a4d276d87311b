"""`heapwright validate`: the measured cases, their pictures, and the exit code of the promise.

The model's numbers move with each fit; nothing here pins one.
"""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest

from heapwright.validation.leave_one_out import LeftOut
from heapwright.validation.load import load_cases
from heapwright.validation.report import summary, what
from heapwright.validation.types import CaseResult
from heapwright.workshop import validate
from heapwright.workshop.validate import PROMISED, Validation, validation
from tests.workshop.cli_terminal import Terminal, a_terminal
from tools import ROOT

CASES = load_cases()


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_terminal(tmp_path, monkeypatch)


@pytest.fixture(scope="module")
def whole() -> Validation:
    return validation()


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch, whole: Validation) -> None:
    """Let the command answer with the module's one run of all cases."""
    monkeypatch.setattr(validate, "validation", lambda keys=(): whole)


def test_every_case_is_drawn_and_tabled_with_both_numbers(terminal: Terminal, known: None) -> None:
    done = terminal.run("validate")
    for case in CASES:
        assert f"{case.id} " in done.stdout
        assert case.title in done.stdout
        for check in case.checks:
            assert what(check) in done.stdout
    assert done.stdout.count("days  0") == sum(not case.not_tested for case in CASES)
    assert done.stdout.count("measured") >= sum(len(case.checks) for case in CASES)
    assert "cases pass" in done.stdout.splitlines()[-1]
    assert "°F" not in done.stdout


def test_promise_is_kept_and_told_by_the_exit_code(
    terminal: Terminal, known: None, whole: Validation
) -> None:
    """At least as many cases as promised are met, and no heap that must stay cool gets hot."""
    assert whole.broken == ""
    assert whole.summary.passed >= PROMISED
    done = terminal.run("validate")
    assert (done.exit_code, done.stderr) == (0, "")


def test_promise_is_the_documented_one() -> None:
    text = (ROOT / "docs" / "validation.md").read_text(encoding="utf-8")
    assert f"at least {PROMISED} of the {len(CASES)}" in text


def other(whole: Validation, results: list[CaseResult]) -> Validation:
    return replace(whole, results=tuple(results), summary=summary(results))


def missed(result: CaseResult) -> CaseResult:
    return replace(result, checks=tuple(replace(check, miss=9.0) for check in result.checks))


def test_too_few_passes_end_with_1_and_the_reason(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch, whole: Validation
) -> None:
    few = other(whole, [missed(result) for result in whole.results])
    monkeypatch.setattr(validate, "validation", lambda keys=(): few)
    done = terminal.run("validate")
    assert done.exit_code == 1
    assert done.stderr.strip() == (
        f"0 of {len(CASES)} measured cases pass; at least {PROMISED} are promised."
    )
    by_program = terminal.run("validate", "--json")
    assert by_program.exit_code == 1
    assert json.loads(by_program.stdout)["promise_broken"] == done.stderr.strip()


def test_cool_heap_that_heats_ends_with_1_and_is_named(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch, whole: Validation
) -> None:
    cool = next(r for r in whole.results if any(check.check.must_not_heat for check in r.checks))
    heated = replace(
        cool, checks=tuple(replace(check, modelled=99.0, miss=9.0) for check in cool.checks)
    )
    results = [heated if result is cool else result for result in whole.results]
    monkeypatch.setattr(validate, "validation", lambda keys=(): other(whole, results))
    done = terminal.run("validate")
    assert done.exit_code == 1
    assert "must stay cool gets hot" in done.stderr
    assert cool.case.id in done.stderr


def test_json_holds_every_check_with_both_numbers(terminal: Terminal, known: None) -> None:
    answer = terminal.json("validate")
    assert [case["id"] for case in answer["cases"]] == [case.id for case in CASES]
    counts = [answer[name] for name in ("passed", "missed", "not_tested")]
    assert sum(counts) == len(CASES)
    verdicts = [case["verdict"] for case in answer["cases"]]
    assert [verdicts.count(word) for word in ("pass", "miss", "not tested")] == counts
    for told, case in zip(answer["cases"], CASES, strict=True):
        assert len(told["checks"]) == len(case.checks)
        for check in told["checks"]:
            assert check["measured_low"] <= check["measured_high"] or check["sense"] != "about"
            assert check["passed"] == (check["miss_in_tolerances"] is not None
                                       and check["miss_in_tolerances"] <= 1.0)  # fmt: skip
            if not check["passed"] and check["counts"]:
                assert check["why_missed"]


def test_one_case_alone(terminal: Terminal) -> None:
    done = terminal.run("validate", "--case", "o2", "--units", "us")
    assert done.exit_code in (0, 1)
    assert "O2 " in done.stdout
    assert "O3 " not in done.stdout
    answer: Any = json.loads(terminal.run("validate", "--case", "O2", "--json").stdout)
    assert [case["id"] for case in answer["cases"]] == ["O2"]
    assert answer["promised"] is None


def test_case_that_is_not_tested_says_why(terminal: Terminal) -> None:
    untested = next(case for case in CASES if case.not_tested)
    told = terminal.tell("validate", "--case", untested.id)
    assert untested.not_tested in told


def test_case_that_is_missed_alone_ends_with_1(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch, whole: Validation
) -> None:
    one = replace(other(whole, [missed(whole.results[1])]), whole=False)
    monkeypatch.setattr(validate, "validation", lambda keys=(): one)
    done = terminal.run("validate", "--case", "O2")
    assert (done.exit_code, done.stderr.strip()) == (1, "The model misses O2.")


def test_pictures_are_written_one_for_each_tested_case(
    terminal: Terminal, known: None, tmp_path: Path
) -> None:
    folder = tmp_path / "new" / "pictures"
    terminal.run("validate", "--draw", str(folder))
    tested = {case.id for case in CASES if not case.not_tested}
    assert {path.stem for path in folder.glob("*.svg")} == tested
    for path in folder.glob("*.svg"):
        assert ET.parse(path).getroot().tag.endswith("svg")


def test_unknown_case_is_refused(terminal: Terminal) -> None:
    assert "They run from O1 to O31" in terminal.refused("validate", "--case", "O99")


def test_folder_that_cannot_be_written_is_named(
    terminal: Terminal, known: None, tmp_path: Path
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    assert "could not be written" in terminal.refused(
        "validate", "--draw", str(blocked / "below"), code=3
    )


def left_out(case: str, *, passed: bool) -> LeftOut:
    """Return a kept score; what else belongs to one is nought."""
    others = {field.name: 0 for field in fields(LeftOut)}
    return LeftOut(**{**others, "case": case, "passed": passed})


def test_scores_of_cases_left_out_are_told_as_kept(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = (left_out("O1", passed=False), left_out("O2", passed=True))
    monkeypatch.setattr(validate, "leave_one_out_scores", lambda: kept)
    told = terminal.tell("validate", "--leave-one-out")
    assert re.search(r"^O1 +MISS +0 %$", told, re.MULTILINE)
    assert "1 of 2" in told
    answer = terminal.json("validate", "--leave-one-out")
    assert [score["case"] for score in answer["leave_one_out"]] == ["O1", "O2"]
    monkeypatch.setattr(validate, "leave_one_out_scores", lambda: ())
    assert "No scores" in terminal.tell("validate", "--leave-one-out")
    assert terminal.json("validate", "--leave-one-out")["leave_one_out"] == []
