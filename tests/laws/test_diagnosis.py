"""Laws of weighing what is wrong: sums, order, missing signs, more evidence, the next look."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.diagnosis.check import entropy_bits, gain_bits, next_check
from heapwright.diagnosis.course import Log, Read, course, log_witnesses, reheat
from heapwright.diagnosis.tables import causes, limits, shares, signs
from heapwright.diagnosis.types import FloatArray
from heapwright.diagnosis.weigh import log_likelihood, probabilities, weigh
from heapwright.diagnosis.witness import classes

SIGNS = tuple(signs())


@st.composite
def witnesses(draw: st.DrawFn) -> dict[str, FloatArray]:
    names = draw(st.lists(st.sampled_from(SIGNS), unique=True, max_size=8))
    found = {}
    for name in names:
        sign = signs()[name]
        if sign.kind == "model":
            raw = draw(
                st.lists(
                    st.floats(0.01, 1.0), min_size=len(sign.outcomes), max_size=len(sign.outcomes)
                )
            )
            found[name] = np.array(raw) / np.sum(raw)
        else:
            found[name] = sign.one(draw(st.sampled_from(sign.outcomes)))
    return found


@given(witnesses())
def test_probabilities_add_up_to_one_and_lie_in_their_range(seen: dict[str, FloatArray]) -> None:
    ranked = weigh(seen)
    assert sum(one.probability for one in ranked) == pytest.approx(1.0)
    assert {one.cause.id for one in ranked} == {cause.id for cause in causes()}
    assert all(0.0 <= one.low <= one.probability <= one.high <= 1.0 for one in ranked)
    chances = [one.probability for one in ranked]
    assert chances == sorted(chances, reverse=True)


@given(witnesses(), st.integers(0, 99))
def test_the_order_of_signs_does_not_matter(seen: dict[str, FloatArray], seed: int) -> None:
    names = list(seen)
    np.random.default_rng(seed).shuffle(names)
    shuffled = {name: seen[name] for name in names}
    assert np.array_equal(probabilities(seen), probabilities(shuffled))
    assert weigh(seen) == weigh(shuffled)


@given(witnesses())
def test_missing_signs_count_neither_for_nor_against(seen: dict[str, FloatArray]) -> None:
    """What was not looked at has no factor: the odds of two causes are those of the seen alone."""
    total = np.log([cause.prior[1] for cause in causes()])
    for name, witness in seen.items():
        total = total + log_likelihood(signs()[name], witness)
    expected = np.exp(total - total.max())
    assert probabilities(seen) == pytest.approx(expected / expected.sum())


def test_without_any_sign_the_causes_stand_as_often_as_the_table_says() -> None:
    prior = np.array([cause.prior[1] for cause in causes()])
    assert probabilities({}) == pytest.approx(prior / prior.sum())


@given(witnesses())
def test_a_model_that_knows_nothing_changes_nothing_between_causes(
    seen: dict[str, FloatArray],
) -> None:
    for name in ("model moisture", "model food"):
        if name in seen:
            continue
        outcomes = len(signs()[name].outcomes)
        flat = {**seen, name: np.full(outcomes, 1.0 / outcomes)}
        assert probabilities(flat) == pytest.approx(probabilities(seen), abs=1e-9)


@given(witnesses(), st.sampled_from(SIGNS), st.data())
def test_more_evidence_for_a_cause_never_lowers_it(
    seen: dict[str, FloatArray], name: str, data: st.DataObject
) -> None:
    """A sign that a cause shows more often than every other cause never makes it less likely."""
    seen = {key: value for key, value in seen.items() if key != name}
    sign = signs()[name]
    outcome = data.draw(st.sampled_from(sign.outcomes))
    table = shares()[name][:, :, 1]
    column = (table / table.sum(axis=1, keepdims=True))[:, sign.outcomes.index(outcome)]
    most = int(np.argmax(column))
    before = probabilities(seen)
    after = probabilities({**seen, name: sign.one(outcome)})
    assert after[most] >= before[most] - 1e-12


@given(witnesses())
def test_the_next_look_is_a_new_one_that_tells_something(seen: dict[str, FloatArray]) -> None:
    ranked = weigh(seen)
    check = next_check(ranked, seen)
    if check is None:
        return
    assert check.sign.id not in seen and check.sign.ask
    assert check.between == (ranked[0].cause, ranked[1].cause)
    assert 0.0 < check.gain_bits <= 1.0 + 1e-9
    assert sum(one.chance for one in check.outcomes) == pytest.approx(1.0)
    for one in check.outcomes:
        after = weigh({**seen, check.sign.id: check.sign.one(one.outcome)})
        assert one.probability == pytest.approx(after[0].probability)


@given(st.floats(0.001, 0.999), st.sampled_from(SIGNS))
def test_a_look_is_never_expected_to_add_uncertainty(first: float, name: str) -> None:
    two = np.array([first, 1.0 - first])
    for pair in ([0, 1], [3, 9], [14, 20]):
        gain = gain_bits(two, signs()[name], pair)
        assert -1e-12 <= gain <= entropy_bits(two) + 1e-12


def test_entropy_of_two_equal_causes_is_one_bit() -> None:
    assert entropy_bits(np.array([0.5, 0.5])) == pytest.approx(1.0)
    assert entropy_bits(np.array([1.0, 0.0])) == 0.0


def a_log(*reads: tuple[float, float], now: float, turns: tuple[float, ...] = ()) -> Log:
    return Log(now, tuple(Read(day, c, 20.0) for day, c in reads), turns, 20.0, 0.8)


@pytest.mark.parametrize(
    ("log", "told"),
    [
        (a_log(now=1.0), "young"),
        (a_log((1.0, 30.0), now=1.0), "young"),
        (a_log((5.0, 58.0), now=5.0), "hot"),
        (a_log((5.0, 72.0), now=5.0), "too hot"),
        (a_log((6.0, 33.0), now=6.0), "lukewarm"),
        (a_log((6.0, 23.0), now=6.0), "never warm"),
        (a_log((4.0, 58.0), (9.0, 30.0), now=9.0), "fell early"),
        (a_log((4.0, 58.0), (30.0, 52.0), (45.0, 30.0), now=45.0), "cooled late"),
        (a_log((4.0, 58.0), (9.0, 30.0), now=10.0, turns=(9.0,)), "young"),
        (a_log((4.0, 58.0), now=20.0), ""),  # no fresh reading
        (a_log(now=20.0), ""),
        (Log(6.0, (Read(6.0, 30.0, None),), (), None, None), ""),
    ],
)
def test_the_course_is_read_off_the_log(log: Log, told: str) -> None:
    assert course(log) == told


@pytest.mark.parametrize(
    ("log", "told"),
    [
        (a_log((4.0, 58.0), now=9.0), ""),  # never turned
        (a_log((4.0, 58.0), (12.0, 55.0), now=12.0, turns=(9.0,)), "reheated"),
        (a_log((4.0, 58.0), (14.0, 30.0), now=14.0, turns=(9.0,)), "stayed cool"),
        (a_log((4.0, 58.0), (10.0, 30.0), now=10.0, turns=(9.0,)), ""),  # too early to say
        (a_log((4.0, 30.0), (14.0, 30.0), now=14.0, turns=(9.0,)), ""),  # was never hot
    ],
)
def test_reheating_is_read_off_the_log(log: Log, told: str) -> None:
    assert reheat(log) == told


def test_a_log_that_tells_nothing_gives_no_witness_but_its_age() -> None:
    assert set(log_witnesses(Log(20.0, (), (), None, None))) == {"age"}


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=50))
def test_classes_of_the_model_add_up_and_keep_a_doubt(values: list[float]) -> None:
    told = classes(np.array(values), ("parched", "dry", "wet", "soaked"))
    assert told.sum() == pytest.approx(1.0)
    assert told.min() >= (1.0 - limits()["model_trust"]) / told.size - 1e-12
