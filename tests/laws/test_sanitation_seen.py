"""What the thermometer saw: missing readings never count, and every hot reading only helps."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from heapwright.sanitation.rules import load_rules
from heapwright.sanitation.seen import SeenRule, seen_heat, seen_rule
from heapwright.sanitation.seen_time import SeenReading, core_readings
from heapwright.sentences import Reader, render

PHOENIX = ZoneInfo("America/Phoenix")
START = datetime(2026, 6, 1, 8, 0, tzinfo=PHOENIX)
HOT_C, COLD_C = 60.0, 35.0
BY_DAYS = [rule for rule in load_rules() if rule.days is not None]
RULES = {rule.id: rule for rule in load_rules()}

#: Readings as (hours after the start, °C).
read = st.tuples(st.integers(0, 900), st.floats(20.0, 90.0))
journals = st.lists(read, max_size=40)


def readings(*pairs: tuple[float, float]) -> list[SeenReading]:
    return [SeenReading(START + timedelta(hours=hour), value) for hour, value in pairs]


def daily(days: int, temperature_c: float = HOT_C, first: int = 0) -> list[SeenReading]:
    return readings(*((24.0 * (first + day), temperature_c) for day in range(days)))


def judged(rule_id: str, seen: list[SeenReading], *turn_days: float) -> SeenRule:
    turns = [START + timedelta(days=day) for day in turn_days]
    return seen_rule(RULES[rule_id], core_readings(seen), turns, 30.0)


def words(rule: SeenRule) -> list[str]:
    return [render(sentence, Reader()) for sentence in rule.missing]


@given(journals)
def test_no_more_time_is_proven_than_days_with_a_reading_hold(pairs: list) -> None:
    seen = core_readings(readings(*pairs))
    read_on = {reading.at.date() for reading in seen}
    for rule in BY_DAYS:
        proven = seen_rule(rule, seen, (), None).days_proven
        assert 0.0 <= proven <= len(read_on)
        assert proven == 0.0 or len(read_on) >= 1


@given(st.lists(st.tuples(st.integers(0, 20), st.floats(55.0, 90.0)), max_size=20))
def test_readings_with_a_day_between_them_prove_nothing(pairs: list) -> None:
    """However hot: a day without a reading is never taken as hot."""
    apart = dict(pairs)
    seen = readings(*((48.0 * day, value) for day, value in apart.items()))
    assert all(judged(rule.id, seen).days_proven == 0.0 for rule in BY_DAYS)


@given(journals, st.integers(0, 900), st.floats(56.0, 76.0))
def test_a_hot_reading_more_never_lowers_what_is_proven(
    pairs: list, hour: int, value: float
) -> None:
    turns = [START + timedelta(hours=hours) for hours in (100, 300, 500)]
    before, after = (core_readings(readings(*told)) for told in (pairs, [*pairs, (hour, value)]))
    assume(len(after) > len(before))  # of two at the same moment the cooler one stands
    for rule in BY_DAYS:
        one, other = (seen_rule(rule, seen, turns, None) for seen in (before, after))
        assert other.days_proven >= one.days_proven - 1e-9, rule.id
        if rule.counting == "in all":
            assert other.turnings_proven >= one.turnings_proven


@given(journals, st.lists(st.tuples(st.integers(0, 900), st.floats(55.0, 90.0)), max_size=9))
def test_readings_of_the_edge_never_stand_for_the_core(pairs: list, edge: list) -> None:
    at_the_edge = [SeenReading(r.at, r.temperature_c, "edge") for r in readings(*edge)]
    with_edge = seen_heat([*readings(*pairs), *at_the_edge], (), None)
    without = seen_heat(readings(*pairs), (), None)
    assert with_edge.rules == without.rules
    assert with_edge.other_readings == len(edge)


def test_without_readings_nothing_is_proven_and_everything_is_missing() -> None:
    seen = seen_heat((), (START,), None)
    assert (seen.core_readings, seen.days_read, seen.days_not_read) == (0, 0, 0)
    for rule in seen.rules:
        assert not rule.is_met
        assert (rule.days_proven, rule.share_done, rule.turnings_proven) == (0.0, 0.0, 0)
        assert rule.missing


def test_one_hot_reading_proves_nothing() -> None:
    assert all(judged(rule.id, daily(1, 75.0)).days_proven == 0.0 for rule in load_rules())


def test_fifteen_days_and_five_turnings_meet_the_rule_and_what_lacks_is_said() -> None:
    assert judged("pfrp_turned", daily(16), 2, 5, 8, 11, 14).is_met
    short = judged("pfrp_turned", daily(12), 2, 5)
    assert (short.days_proven, short.turnings_proven, short.is_met) == (11.0, 2, False)
    assert words(short) == [
        "4 days more with a reading of 131 °F or more each day.",
        "3 more turns between hot readings.",
    ]
    assert words(judged("pfrp_turned", daily(16), 2, 5, 8, 11)) == [
        "One more turn between two hot readings."
    ]


def test_a_day_left_out_breaks_a_row_but_not_the_sum() -> None:
    seen = daily(8) + daily(10, first=9)
    assert judged("pfrp_turned", seen).days_proven == 16.0
    assert judged("pfrp_turned_in_a_row", seen).days_proven == 9.0
    assert words(judged("pfrp_turned_in_a_row", seen, 10, 11, 12, 13, 14)) == [
        "6 days more without a break, with a reading of 131 °F or more each day."
    ]


def test_a_cold_reading_between_hot_ones_takes_its_time_out() -> None:
    seen = daily(3) + readings((60.0, COLD_C)) + daily(2, first=3)
    assert judged("pfrp_turned", seen).days_proven == 3.0
    assert judged("pfrp_vessel", seen).days_proven == 2.0


def test_what_is_still_wanted_in_a_row_starts_anew_after_a_break() -> None:
    ended = daily(3) + daily(1, COLD_C, first=3)
    assert words(judged("pfrp_vessel", ended))[0].startswith("3 days more without a break")
    going_on = core_readings(daily(3))
    for today, more in ((date(2026, 6, 4), "1 day"), (date(2026, 6, 5), "3 days")):
        rule = seen_rule(RULES["pfrp_vessel"], going_on, (), None, today)
        assert words(rule)[0].startswith(f"{more} more")


def test_hours_of_the_day_are_counted_as_they_were() -> None:
    """From Monday evening to Tuesday noon is 16 hours, not a day."""
    seen = readings((12.0, HOT_C), (28.0, HOT_C))
    assert judged("pfrp_turned", seen).days_proven == pytest.approx(16.0 / 24.0)
    late = readings((0.0, HOT_C), (38.0, HOT_C))  # 8:00 to 22:00 the next day
    assert judged("pfrp_turned", late).days_proven == pytest.approx(38.0 / 24.0)


def test_the_night_the_clocks_change_has_its_true_length() -> None:
    zone = ZoneInfo("America/New_York")
    seen = [SeenReading(datetime(2026, 3, day, 12, 0, tzinfo=zone), HOT_C) for day in (7, 8, 9)]
    assert judged("pfrp_turned", seen).days_proven == pytest.approx(47.0 / 24.0)


def test_turnings_before_the_heat_and_after_it_do_not_count() -> None:
    seen = daily(2, COLD_C) + daily(6, first=2) + daily(3, COLD_C, first=8)
    assert judged("pfrp_turned", seen, 1, 3, 5, 9).turnings_proven == 2
    assert judged("pfrp_turned", daily(4, COLD_C), 1, 2).turnings_proven == 0


def test_a_reading_above_the_upper_bound_counts_only_where_there_is_none() -> None:
    seen = daily(17, 80.0)
    assert judged("pfrp_turned", seen).days_proven == 16.0
    assert judged("organic_turned", seen).days_proven == 0.0


def test_the_start_is_part_of_the_organic_rule() -> None:
    turns = [START + timedelta(days=day) for day in (2, 4, 6, 8, 10)]
    seen = core_readings(daily(16))
    met = {c_to_n: seen_rule(RULES["organic_turned"], seen, turns, c_to_n) for c_to_n in
           (None, 20.0, 30.0)}  # fmt: skip
    assert [met[c_to_n].is_met for c_to_n in (None, 20.0, 30.0)] == [False, False, True]
    assert words(met[None]) == ["The start C:N is not known; it was to be 25 to 40."]
    assert words(met[20.0])[0].startswith("It started at a C:N of 20, not 25 to 40")


def test_a_warm_spell_wants_two_hot_readings_four_hours_apart() -> None:
    warm = daily(6, 45.0)
    assert words(judged("psrp", warm)) == [
        "Two readings of 131 °F or more, 4 hours apart, within those days."
    ]
    assert not judged("psrp", warm + readings((50.0, 58.0), (53.0, 58.0))).is_met
    assert judged("psrp", warm + readings((50.0, 58.0), (54.0, 58.0))).is_met
    # The heat must fall into the five warm days, not before them.
    before = daily(2, 58.0) + daily(1, 30.0, first=2) + daily(6, 45.0, first=3)
    assert not judged("psrp", before).is_met


def test_the_equation_is_judged_at_its_best_temperature() -> None:
    assert judged("time_temperature", readings((0.0, 70.0), (0.4, 70.0))).share_done < 1.0
    assert judged("time_temperature", readings((0.0, 70.0), (1.0, 70.0))).is_met
    mixed = readings((0.0, 70.0), (0.2, 66.0), (4.0, 65.0))
    best = judged("time_temperature", mixed)
    assert best.is_met and best.days_proven == pytest.approx(4.0 / 24.0)
    assert not judged("time_temperature", daily(13, 50.0)).is_met
    assert judged("time_temperature", daily(15, 50.0)).is_met
    assert not judged("time_temperature", daily(99, 49.9)).is_met
    assert judged("time_temperature", daily(99, 49.9)).share_done == 0.0


def test_the_sum_counts_at_the_cooler_reading() -> None:
    seen = readings((0.0, 55.0), (24.0, 60.0), (48.0, 60.0))
    assert judged("dose", seen).share_done == pytest.approx(24.0 / 63.07 + 24.0 / 12.58, rel=1e-3)
    assert judged("dose", seen).is_met


def test_days_without_a_reading_are_told() -> None:
    seen = seen_heat(daily(4) + daily(2, first=7), (), 30.0)
    assert (seen.core_readings, seen.days_read, seen.days_not_read) == (6, 6, 3)
    told = [render(note, Reader()) for note in seen.notes]
    assert "single hot reading" in told[0] and "says nothing of the edge" in told[1]


def test_what_came_before_an_addition_is_not_counted() -> None:
    turns = [START + timedelta(days=day) for day in (2, 9)]
    since = START + timedelta(days=6, hours=1)
    seen = seen_heat(daily(12), turns, 30.0, since=since)
    turned = next(rule for rule in seen.rules if rule.rule_id == "pfrp_turned")
    assert (turned.days_proven, turned.turnings_proven) == (4.0, 1)
    assert seen.core_readings == 5
    assert render(seen.notes[-1], Reader()).startswith("Something was added on 7 June:")
