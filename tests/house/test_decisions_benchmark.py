"""The benchmark of decisions: heaps are drawn the same again; the page says what its file says.

Heaps the rules keep are kept again and compared with the stored file; the one that follows Today is
kept again where it was soonest finished. Nothing is timed.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from benchmarks.decisions import record, summary
from benchmarks.decisions.__main__ import BEGIN, END, SEEDS, written
from benchmarks.decisions.follower import VISIT_DAYS, by_today
from benchmarks.decisions.keepers import KEEPERS, keep
from benchmarks.decisions.truth import Truth
from benchmarks.decisions.worlds import DAYS, world
from tools import ROOT

TRAINING = range(1000, 1024)
ROWS = record.read()


def stored(seed: int, keeper: str) -> dict[str, str]:
    return next(r for r in ROWS if int(r["seed"]) == seed and r["keeper"] == keeper)


def test_stored_heaps_are_none_of_the_training() -> None:
    seeds = {int(row["seed"]) for row in ROWS}
    assert seeds <= set(SEEDS)
    assert not seeds & set(TRAINING)
    assert len(ROWS) == len(seeds) * len(summary.KEEPERS)


@pytest.mark.parametrize("keeper", sorted(KEEPERS))
def test_a_heap_kept_by_rule_comes_out_as_stored(keeper: str) -> None:
    seed = int(min(ROWS, key=lambda row: float(row["days"]))["seed"])
    days, person = KEEPERS[keeper]
    again = record.row_of(world(seed), keep(world(seed), keeper, days, person))
    kept = stored(seed, keeper)
    assert again["finished"] == kept["finished"]
    for name, tolerance in (("days", 2.0), ("hot_share", 0.02), ("left", 0.01), ("turns", 1.0)):
        assert float(again[name]) == pytest.approx(float(kept[name]), abs=tolerance)


def test_a_heap_that_follows_today_comes_out_as_stored() -> None:
    mine = [row for row in ROWS if row["keeper"] == "today"]
    kept = min(mine, key=lambda row: float(row["days"]))
    seed = int(kept["seed"])
    again = keep(world(seed), "today", VISIT_DAYS, by_today)
    assert again.finished
    # Another processor may round a choice the other way: a visit more or less, not another story.
    assert again.days == pytest.approx(float(kept["days"]), abs=8.0)
    assert again.hot_share == pytest.approx(float(kept["hot_share"]), abs=0.15)


def test_truth_is_not_what_the_adviser_is_told() -> None:
    one = world(SEEDS[0])
    assert one.true_fill != one.told_fill
    assert not np.allclose(one.true_weather.temperature_c, one.told_weather.temperature_c)
    truth = Truth.of(one)
    assert truth.standing.state.cells.shape[2:] == (9, 16)


def test_nobody_finishes_a_heap_as_built() -> None:
    assert not Truth.of(world(SEEDS[0])).is_finished()


def test_page_holds_what_the_stored_file_says() -> None:
    page = (ROOT / "docs" / "validation.md").read_text(encoding="utf-8")
    assert written(page, summary.lines(ROWS)) == page


def test_a_run_goes_on_where_it_was_broken_off(tmp_path: Path) -> None:
    path = tmp_path / "results.csv"
    record.append(ROWS[:4], path)
    record.append(ROWS[4:8], path)
    assert record.read(path) == ROWS[:8]


def test_paired_intervals_hold_a_known_difference() -> None:
    rng = np.random.default_rng(1)
    base = rng.normal(100.0, 30.0, 200)
    rows = [
        {
            "seed": str(seed), "keeper": keeper, "days": f"{base[seed] * factor:.3f}",
            "finished": "1", "hot_share": "0.5", "turns": turns, "water_kg": "0", "pails": "0",
            "visits": "0",
        }
        for seed in range(200)
        for keeper, factor, turns in (
            ("today", 0.7, "4"), ("line", 1.0, "8"), ("weekly", 0.7, "8"), ("alone", 1.0, "0"),
        )
    ]  # fmt: skip
    told = "\n".join(summary.lines(rows))
    assert "30.0% fewer" in told
    assert "| yes |" in told
    assert "+0.0 days (+0.0 to +0.0) | yes |" in told  # paired: no noise is left
    assert "50% of them (50% to 50%) | yes |" in told
    assert "+0.0 points (+0.0 to +0.0) | no |" in told


def test_section_stands_between_its_marks() -> None:
    page = f"before\n{BEGIN}\nold\n{END}\nafter"
    assert written(page, ["new"]) == f"before\n{BEGIN}\n\nnew\n\n{END}\nafter"
    assert DAYS == 150
