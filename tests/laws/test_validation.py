"""The measured cases are whole, judged as their collection says, and told with both numbers."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.heap.parameters import load_parameters
from heapwright.validation.drawing import draw_case, drawable
from heapwright.validation.load import find_case, load_cases, usual_dry_density_kg_m3
from heapwright.validation.measures import QUANTITIES, usual_tolerance
from heapwright.validation.report import markdown_table, summary, text_table
from heapwright.validation.score import judge, score
from heapwright.validation.types import Case, Check, Sense

CASES = load_cases()
SVG = "{http://www.w3.org/2000/svg}"


PEAK = Check(quantity="peak_c", run="heap", low=60.0, high=70.0, tolerance=6.0)


def test_all_31_cases_are_there_in_their_order() -> None:
    assert [case.id for case in CASES] == [f"O{number}" for number in range(1, 32)]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_every_case_says_whence_it_comes_and_what_was_assumed(case: Case) -> None:
    assert case.title and case.source and case.grade in {"A", "A-", "B", "C"}
    if case.not_tested:
        assert not case.runs and not case.checks
    else:
        assert case.assumed and any(check.counts for check in case.checks)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_every_check_says_what_was_measured(case: Case) -> None:
    for each in case.checks:
        assert each.said
        assert each.low <= each.high or each.sense is not Sense.ABOUT
        assert each.tolerance > 0.0 or each.sense is not Sense.ABOUT
        assert set(each.places) <= {
            "day", "from_day", "to_day", "limit_c", "depth_m", "from_m", "to_m"
        }  # fmt: skip


def test_tolerances_are_those_printed_with_the_collection() -> None:
    assert usual_tolerance("days_to", 2.0, 2.0) == 1.0
    assert usual_tolerance("peak_c", 60.0, 60.0) == 6.0
    assert usual_tolerance("days_above", 10.0, 10.0) == pytest.approx(3.5)
    assert usual_tolerance("dry_loss", 0.6, 0.6) == pytest.approx(0.10)


@given(st.floats(0.0, 100.0))
def test_a_range_passes_up_to_its_tolerance_and_no_further(modelled: float) -> None:
    assert judge(PEAK, modelled).passed == (54.0 <= modelled <= 76.0)


@given(st.floats(0.0, 100.0))
def test_one_sided_checks_pass_on_their_side_only(modelled: float) -> None:
    least = judge(replace(PEAK, sense=Sense.AT_LEAST, tolerance=0.0), modelled)
    most = judge(replace(PEAK, sense=Sense.AT_MOST, tolerance=0.0), modelled)
    assert least.passed == (modelled >= 60.0)
    assert most.passed == (modelled <= 70.0)


def test_what_never_came_to_pass_is_a_miss() -> None:
    within_two_days = Check(quantity="days_to", run="heap", low=2.0, high=2.0, tolerance=1.0)
    assert not judge(within_two_days, float("inf")).passed


def test_a_case_with_other_figures_is_missed() -> None:
    case = find_case("O6")
    moved = replace(case.checks[0], low=20.0, high=20.0)
    other = replace(case, checks=(moved,))
    assert not score(other, load_parameters()).passed


def test_a_fill_without_a_weight_lies_between_its_parts() -> None:
    leaves, food = {"leaves_mixed_dry": 1.0}, {"food_waste_mixed": 1.0}
    both = usual_dry_density_kg_m3(leaves | food)
    assert usual_dry_density_kg_m3(leaves) < both < usual_dry_density_kg_m3(food)


def test_report_tells_each_check_with_both_numbers_and_the_count() -> None:
    results = [score(find_case(key), load_parameters()) for key in ("O6", "O18")]
    text, table = text_table(results), markdown_table(results)
    for result in results:
        assert result.case.id in text and f"**{result.case.id}**" in table
        for each in result.checks:
            assert QUANTITIES[each.check.quantity].words in text
    assert results[1].case.not_tested in text
    assert "52.8 ± 6 °C" in text
    assert summary(results).not_tested == 1
    assert f"of {len(results)} cases pass" in text


def test_drawing_is_whole_and_says_in_words_what_it_shows() -> None:
    result = score(find_case("O2"), load_parameters())
    assert drawable([result]) == [result]
    root = ET.fromstring(draw_case(result))
    assert root.find(f"{SVG}title") is not None
    told = root.find(f"{SVG}desc")
    assert told is not None and told.text is not None and "69 °C on day 3" in told.text
    readings = sum(len(run.readings) for run in result.case.runs.values())
    lines = root.findall(f"{SVG}polyline")
    assert len(lines) == len(result.case.runs) + 1  # and the air
    assert len(root.findall(f"{SVG}circle")) == readings + 1  # and the key
