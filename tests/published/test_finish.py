"""Tests of finished compost, held against the limits and the formula their sources print."""

from __future__ import annotations

import pytest

from heapwright.finish.guides import limits, load_guides, load_uses, risks_of
from heapwright.finish.judge import germination_index, judge
from heapwright.finish.reheating import AfterTurn, judge_reheating
from heapwright.finish.types import Aspect, Procedure, Verdict
from heapwright.sentences import Reader, render
from heapwright.tables import Evidence, parameter_table


@pytest.mark.parametrize(
    ("up", "sown", "verdict"),
    [
        (9, 12, Verdict.PASSED),  # exactly three quarters
        (8, 12, Verdict.NOT_YET),
        (12, 12, Verdict.PASSED),
        (0, 12, Verdict.NOT_YET),
        (15, 20, Verdict.PASSED),
        (14, 20, Verdict.NOT_YET),
    ],
)
def test_radish_pot_matches_ufifas_three_quarters(up: int, sown: int, verdict: Verdict) -> None:
    assert judge(Procedure.RADISH_POT, {"sown": sown, "up": up}).verdict is verdict


def test_germination_index_matches_the_form_of_the_willow_abstract() -> None:
    """GI = (G / G0) x (L / L0) x 100."""
    assert germination_index(20, 18, 0.024, 20, 20, 0.030) == pytest.approx(0.9 * 0.8)
    assert germination_index(20, 20, 0.030, 20, 20, 0.030) == pytest.approx(1.0)


def test_germination_index_may_reach_262_per_cent_as_over_six_composts() -> None:
    """Six composts ran from 0 to 262 % by species (abstract): nothing is cut off at 100."""
    assert germination_index(20, 20, 0.0786, 20, 20, 0.030) == pytest.approx(2.62)
    assert germination_index(20, 0, 0.0, 20, 20, 0.030) == 0.0


@pytest.mark.parametrize(
    ("root_mm", "verdict"),
    [
        (14.9, Verdict.FAILED),
        (15.0, Verdict.NOT_YET),
        (23.9, Verdict.NOT_YET),
        (24.0, Verdict.PASSED),
    ],
)
def test_germination_judged_by_radhouani_50_per_cent_and_80_from_memory(
    root_mm: float, verdict: Verdict
) -> None:
    numbers = {
        "sown": 20,
        "sprouted": 20,
        "root_m": root_mm / 1000,
        "control_sown": 20,
        "control_sprouted": 20,
        "control_root_m": 0.030,
    }
    judged = judge(Procedure.GERMINATION, numbers)
    assert judged.verdict is verdict
    assert any("one kind of seed" in render(note, Reader()).lower() for note in judged.notes)
    if verdict is not Verdict.FAILED:
        assert "from memory" in render(judged.reason, Reader())


@pytest.mark.parametrize(
    ("left_share", "verdict"),
    [(0.33, Verdict.PASSED), (0.5, Verdict.PASSED), (0.75, Verdict.NOT_YET)],
)
def test_look_matches_chester_county_a_third_within_colorado_50_to_75_per_cent_loss(
    left_share: float, verdict: Verdict
) -> None:
    seen = {"dark": True, "crumbly": True, "food_seen": False, "left_share": left_share}
    assert judge(Procedure.LOOK, seen).verdict is verdict


@pytest.mark.parametrize("missing", ["dark", "crumbly", "food_seen"])
def test_look_matches_chester_county_which_asks_all_four(missing: str) -> None:
    seen = {"dark": True, "crumbly": True, "food_seen": False, "left_share": 0.33}
    assert judge(Procedure.LOOK, seen | {missing: not seen[missing]}).verdict is Verdict.NOT_YET
    assert judge(Procedure.LOOK, {**seen, "left_share": None}).verdict is Verdict.CANNOT_SAY


@pytest.mark.parametrize(
    ("smell", "days", "verdict"),
    [
        ("earthy", 5, Verdict.PASSED),
        ("earthy", 4, Verdict.CANNOT_SAY),
        ("ammonia", 2, Verdict.FAILED),
        ("rotten egg", 6, Verdict.FAILED),
        ("sour", 6, Verdict.NOT_YET),
    ],
)
def test_bag_matches_chester_county_5_to_7_days_and_earthy(
    smell: str, days: float, verdict: Verdict
) -> None:
    assert judge(Procedure.BAG, {"smell": smell, "days": days}).verdict is verdict


def test_jar_matches_the_texas_leaflet_one_week() -> None:
    assert judge(Procedure.JAR, {"smell": "earthy", "days": 7}).verdict is Verdict.PASSED
    assert judge(Procedure.JAR, {"smell": "earthy", "days": 6}).verdict is Verdict.CANNOT_SAY
    guide = load_guides()[Procedure.JAR]
    assert any("pressure" in one for one in guide.cautions)


@pytest.mark.parametrize(
    ("rise", "verdict"),
    [
        (10.0, Verdict.PASSED),
        (10.1, Verdict.NOT_YET),
        (40.0, Verdict.NOT_YET),
        (40.1, Verdict.FAILED),
    ],
)
def test_self_heating_classes_are_judged_and_said_to_be_from_memory(
    rise: float, verdict: Verdict
) -> None:
    judged = judge(Procedure.SELF_HEATING, {"highest_c": 20.0 + rise, "air_c": 20.0})
    assert judged.verdict is verdict
    assert "from memory" in render(judged.reason, Reader())
    assert load_guides()[Procedure.SELF_HEATING].evidence is Evidence.MEMORY


def test_bioassay_matches_wsu_three_pots_and_two_weeks() -> None:
    clean = {"pots": 3, "pots_hurt": 0, "control_pots": 3, "control_pots_hurt": 0, "days": 14}
    assert judge(Procedure.BIOASSAY, clean).verdict is Verdict.PASSED
    assert judge(Procedure.BIOASSAY, clean | {"days": 13}).verdict is Verdict.CANNOT_SAY
    assert judge(Procedure.BIOASSAY, clean | {"control_pots": 2}).verdict is Verdict.CANNOT_SAY
    assert judge(Procedure.BIOASSAY, clean | {"pots_hurt": 1, "days": 9}).verdict is Verdict.FAILED
    hurt_too = clean | {"pots_hurt": 1, "control_pots_hurt": 1}
    assert judge(Procedure.BIOASSAY, hurt_too).verdict is Verdict.CANNOT_SAY


def after(**changes: object) -> AfterTurn:
    usual: dict[str, object] = {
        "hours_since_turn": 240.0,
        "readings": ((96.0, 26.0),),
        "air_c": 20.0,
        "squeeze": "drops",
        "moisture": None,
        "volume_m3": 0.5,
    }
    return AfterTurn(**(usual | changes))


def test_reheating_matches_clemson_it_no_longer_makes_heat() -> None:
    """Clemson: finished when it no longer makes heat; NRCS 317 keeps at least 110 °F (43.3 °C)."""
    assert judge_reheating(after()).verdict is Verdict.PASSED
    assert judge_reheating(after(readings=((60.0, 43.3),))).verdict is Verdict.NOT_YET
    assert judge_reheating(after(readings=((96.0, 38.0),))).verdict is Verdict.NOT_YET


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"hours_since_turn": None, "readings": ()}, "not turned yet"),
        ({"hours_since_turn": 30.0, "readings": ((24.0, 26.0),)}, "read it"),
        ({"readings": ((20.0, 26.0), (200.0, 24.0))}, "Nobody read it"),
        ({"squeeze": "dry"}, "too dry"),
        ({"squeeze": "dripping"}, "soaked"),
        ({"squeeze": ""}, "squeeze a handful"),
        ({"squeeze": "", "moisture": 0.3}, "too dry"),
        ({"squeeze": "", "moisture": 0.75}, "short of air"),
        ({"air_c": None}, "not known"),
    ],
)
def test_reheating_says_why_it_cannot_say(changes: dict[str, object], words: str) -> None:
    judged = judge_reheating(after(**changes))
    assert judged.verdict is Verdict.CANNOT_SAY
    assert words in render(judged.reason, Reader())


def test_a_small_cool_heap_is_told_to_prove_less() -> None:
    """Oregon State 2018: half to one cubic yard heats; half of one is 0.38 m³."""
    assert judge_reheating(after(volume_m3=0.3)).notes
    assert not judge_reheating(after(volume_m3=0.4)).notes


def test_uses_match_the_leaflets_ranking() -> None:
    """Coarse and less finished as mulch, mature near planting, most mature in potting mixes."""
    asked = [(use.stability, use.maturity, use.asks_curing) for use in load_uses()]
    assert [use.id for use in load_uses()] == ["mulch", "bed-ahead", "planting", "potting"]
    assert asked == sorted(asked)


def test_risky_kinds_match_nc_state_and_georgia() -> None:
    for kind in ("hay", "straw", "manure", "treated_grass"):
        assert risks_of([kind]).weedkiller is True
    assert risks_of(["leaf", "produce", "grass_clippings_loose", "grass"]).weedkiller is False
    assert risks_of(["manure"]).manure is True
    assert risks_of(["hay"]).manure is False
    assert risks_of(None).weedkiller is None


def test_rows_that_stand_in_the_advice_too_say_the_same_there() -> None:
    advice = parameter_table("heapwright.advice", "data/thresholds.csv")
    for name in ("reheat_wait_days", "spent_share", "cure_days", "retest_days"):
        mine, theirs = limits()[name], advice[name]
        assert (mine.low, mine.typical, mine.high) == (theirs.low, theirs.typical, theirs.high)
    assert limits()["reheated_c"].typical == advice["leave_alone_low_c"].typical


def test_every_aspect_has_a_guide_and_every_guide_its_cautions() -> None:
    guides = load_guides()
    assert set(guides) == set(Procedure)
    assert {guide.aspect for guide in guides.values()} == set(Aspect)
    for guide in guides.values():
        assert guide.cautions and guide.steps and guide.needs
        assert guide.wait_days[0] <= guide.wait_days[1]
