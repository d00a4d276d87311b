"""Killing by heat, held against the federal equation's values and the tables derived from it.

The figures J1 to J3 and the two tables of the cool shell are in the sanitation notes, section A.
"""

import numpy as np
import pytest

from heapwright.sanitation.equations import (
    holding_days,
    hot_share_of_cube,
    periods_for,
    share_never_hot,
)
from heapwright.sanitation.evidence import load_evidence, never_at_home
from heapwright.sanitation.rules import load_rules
from heapwright.sources import is_resolvable

MINUTES_A_DAY = 24 * 60


@pytest.mark.parametrize(
    ("temperature_c", "days", "tolerance"),
    [(50.0, 13.17, 0.005), (55.0, 2.628, 0.0005), (70.0, 0.02087, 0.000005)],
)
def test_holding_days_matches_503_32(temperature_c: float, days: float, tolerance: float) -> None:
    """40 CFR 503.32(a)(3): 13.17 d at 50 °C, J1 2.628 d at 55, J2 0.02087 d at 70."""
    assert float(holding_days(temperature_c)) == pytest.approx(days, abs=tolerance)


def test_holding_minutes_at_70_match_503_32() -> None:
    """J2: 30.06 min at 70 °C."""
    assert float(holding_days(70.0)) * MINUTES_A_DAY == pytest.approx(30.06, abs=0.005)


def test_second_equation_matches_503_32() -> None:
    """J3: the second equation, below 7 % solids, gives 0.9990 d at 55 °C."""
    days = holding_days(55.0, factor_days=50_070_000.0)
    assert float(days) == pytest.approx(0.9990, abs=0.00005)


def test_no_holding_time_is_shorter_than_the_rules_floor() -> None:
    """503.32(a)(3): at least 20 minutes, which the equation falls below from about 71.3 °C."""
    minutes = holding_days([71.2, 72.0, 80.0, 95.0]) * MINUTES_A_DAY
    assert minutes[0] > 20.0
    assert minutes[1:] == pytest.approx([20.0, 20.0, 20.0])


def test_slope_of_the_holding_time_matches_503_32() -> None:
    """7.14 K hotter cut the time tenfold (1 / 0.14)."""
    ratio = holding_days(52.0) / holding_days(52.0 + 1.0 / 0.14)
    assert float(ratio) == pytest.approx(10.0, rel=1e-9)


NEVER_HOT = {
    0.30: ((30, 9, 2.7, 0.81, 0.24, 0.07), 3.8, 5.7),
    0.50: ((50, 25, 12.5, 6.3, 3.1, 1.6), 6.6, 10.0),
    0.657: ((66, 43, 28, 19, 12, 8), 11.0, 16.4),
}


@pytest.mark.parametrize("cool", NEVER_HOT)
def test_share_never_hot_matches_the_table_of_hot_periods(cool: float) -> None:
    """Table A3: f = 0.657 leaves 66, 43, 28, 19, 12, 8 % after 1 to 6 hot periods."""
    for periods, printed in enumerate(NEVER_HOT[cool][0], start=1):
        digits = len(str(printed).partition(".")[2])
        got = 100.0 * share_never_hot(cool, periods)
        assert got == pytest.approx(printed, abs=0.5 * 10.0**-digits + 1e-9)


@pytest.mark.parametrize("cool", NEVER_HOT)
def test_periods_for_match_the_table_of_hot_periods(cool: float) -> None:
    """Table A3: f = 0.5 wants 6.6 hot periods for 1 % and 10.0 for 0.1 %."""
    _, for_one, for_tenth = NEVER_HOT[cool]
    assert periods_for(cool, 0.01) == pytest.approx(for_one, abs=0.05)
    assert periods_for(cool, 0.001) == pytest.approx(for_tenth, abs=0.05)


@pytest.mark.parametrize(
    ("side_m", "shares"),
    [
        (0.9, (0.47, 0.30, 0.17)),
        (1.0, (0.51, 0.34, 0.22)),
        (1.22, (0.58, 0.43, 0.30)),
        (1.5, (0.65, 0.51, 0.39)),
    ],
)
def test_hot_share_of_cube_matches_the_table_of_shells(
    side_m: float, shares: tuple[float, ...]
) -> None:
    """Table A3: a cube of 1 m keeps 0.51, 0.34, 0.22 inside a shell of 10, 15, 20 cm."""
    got = [hot_share_of_cube(side_m, shell) for shell in (0.10, 0.15, 0.20)]
    assert got == pytest.approx(shares, abs=0.005)


def test_a_metre_cube_with_a_shell_of_15_cm_leaves_what_the_notes_say() -> None:
    """Table A3: f = 0.657, and 8 to 12 % never hot after five turnings at random."""
    cool = 1.0 - hot_share_of_cube(1.0, 0.15)
    assert cool == pytest.approx(0.657, abs=0.0005)
    assert share_never_hot(cool, 6) == pytest.approx(0.08, abs=0.005)
    assert share_never_hot(cool, 5) == pytest.approx(0.12, abs=0.005)


def test_rules_match_the_federal_texts() -> None:
    """App. B: 3 d and 15 d at 55 °C, 5 turnings; 5 d at 40 with 4 h at 55. 205.203: 131-170 °F."""
    rules = {rule.id: rule for rule in load_rules()}
    told = {key: (rule.low_c, rule.days, rule.turnings) for key, rule in rules.items()}
    assert told["pfrp_vessel"] == (55.0, 3.0, None)
    assert told["pfrp_turned"] == told["pfrp_turned_in_a_row"] == (55.0, 15.0, 5)
    assert (told["psrp"], rules["psrp"].hot_c, rules["psrp"].hot_hours) == ((40, 5, None), 55, 4)
    for key, days, turnings in (("organic_turned", 15.0, 5), ("organic_vessel", 3.0, None)):
        assert told[key] == (55.0, days, turnings)
        assert 1.8 * rules[key].low_c + 32.0 == pytest.approx(131.0, abs=0.01)
        assert 1.8 * rules[key].high_c + 32.0 == pytest.approx(170.0, abs=0.01)
        assert rules[key].c_to_n == (25.0, 40.0)
    assert [r.id for r in rules.values() if np.isfinite(r.high_c)] == [
        "organic_turned",
        "organic_vessel",
    ]


def test_never_list_matches_noble_and_roberts() -> None:
    """Noble & Roberts 2004: clubroot, Fusarium wilt of tomato, Macrophomina, wart; else ours."""
    kept_out = {row.id: row for row in never_at_home()}
    assert set(kept_out) == {
        "never_clubroot",
        "never_fusarium_tomato",
        "never_charcoal_rot",
        "never_white_rot",
        "never_potato_wart",
    }
    assert not kept_out["never_white_rot"].evidence.is_fact


def test_every_rule_and_finding_has_its_source_and_mark() -> None:
    for row in (*load_rules(), *load_evidence()):
        assert is_resolvable(row.source), row.id
        if "from memory" in row.source:
            assert not row.evidence.is_fact, row.id
