"""Laws of how tests join: a missing test never helps, a no never helps, order does not matter."""

from __future__ import annotations

from random import Random
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from heapwright.finish.guides import load_guides
from heapwright.finish.together import (
    cross_remarks,
    newest_of_each,
    next_test,
    standings,
    use_states,
)
from heapwright.finish.types import (
    Aspect,
    Judged,
    Procedure,
    Readiness,
    Result,
    Risks,
    Standing,
    UseState,
    Verdict,
)
from heapwright.sentences import say

CLEAN = Risks(weedkiller=False, manure=False)
RANK = {Readiness.NOT_YET: 0, Readiness.UNTOLD: 0, Readiness.READY: 1}


def result(procedure: Procedure, verdict: Verdict, days_ago: float = 1.0) -> Result:
    return Result(Judged(procedure, verdict, say("Because.")), days_ago)


def uses(
    results: list[Result],
    risks: Risks = CLEAN,
    curing: float | None = 200.0,
    hot: bool = False,
) -> dict[str, UseState]:
    told = use_states(standings(results), risks, curing_days=curing, is_hot=hot)
    return {one.use.id: one for one in told}


def ready(results: list[Result], **how: Any) -> set[str]:
    found = uses(results, **how)
    return {key for key, one in found.items() if one.readiness is Readiness.READY}


some_results = st.lists(
    st.builds(
        result,
        st.sampled_from(list(Procedure)),
        st.sampled_from(list(Verdict)),
        st.floats(0.0, 90.0),
    ),
    max_size=8,
)


@given(some_results, st.randoms(use_true_random=False))
def test_the_order_of_results_does_not_matter(results: list[Result], random: Random) -> None:
    shuffled = results[:]
    random.shuffle(shuffled)
    if len({one.days_ago for one in results}) == len(results):
        assert standings(shuffled) == standings(results)


@given(some_results)
def test_a_missing_test_never_counts_in_favour(results: list[Result]) -> None:
    for_it = ready(results)
    for number, one in enumerate(results):
        if one.judged.verdict is not Verdict.PASSED:
            continue
        same = [r for r in results if r.judged.procedure is one.judged.procedure]
        if len(same) > 1:
            continue  # an older result of the same test would speak instead
        assert ready(results[:number] + results[number + 1 :]) <= for_it


@given(some_results, st.sampled_from([Verdict.NOT_YET, Verdict.FAILED]))
def test_a_fresh_no_never_makes_more_ready(results: list[Result], verdict: Verdict) -> None:
    before = ready(results)
    for procedure in (Procedure.BAG, Procedure.RADISH_POT, Procedure.BIOASSAY):
        assert ready([*results, result(procedure, verdict, 0.0)]) <= before


@given(some_results)
def test_nothing_is_ready_that_is_hot_or_untested(results: list[Result]) -> None:
    assert ready(results, hot=True) == set()
    stable = standings(results)[Aspect.STABILITY].standing
    if stable is not Standing.PASSED:
        assert ready(results) == set()


@given(some_results)
def test_weedkiller_in_doubt_never_makes_more_ready(results: list[Result]) -> None:
    unknown = ready(results, risks=Risks(None, None))
    assert unknown <= ready(results)
    assert ready(results, risks=Risks(True, True)) <= ready(results)


@given(some_results)
def test_what_could_not_say_counts_as_nothing(results: list[Result]) -> None:
    names = {one.judged.procedure for one in results}
    fresh = [p for p in Procedure if p not in names]
    more = [*results, *(result(p, Verdict.CANNOT_SAY, 0.0) for p in fresh)]
    assert ready(more) == ready(results)


def test_uses_come_one_after_the_other_as_tests_pass() -> None:
    bag = result(Procedure.BAG, Verdict.PASSED)
    pot = result(Procedure.RADISH_POT, Verdict.PASSED)
    jar = result(Procedure.JAR, Verdict.PASSED)
    assert ready([]) == set()
    assert ready([pot]) == set()
    assert ready([bag]) == {"mulch", "bed-ahead"}
    assert ready([bag, pot]) == {"mulch", "bed-ahead", "planting"}
    assert ready([bag, pot, jar]) == {"mulch", "bed-ahead", "planting", "potting"}
    assert ready([bag, pot, jar], curing=20.0) == {"mulch", "bed-ahead", "planting"}
    assert ready([bag, pot, jar], curing=None) == {"mulch", "bed-ahead", "planting"}


def test_a_pass_and_a_no_of_the_same_days_contradict_and_a_newer_one_decides() -> None:
    bag = result(Procedure.BAG, Verdict.PASSED, 2.0)
    for days_ago, standing in ((5.0, Standing.CONTRADICTORY), (40.0, Standing.PASSED)):
        jar = result(Procedure.JAR, Verdict.FAILED, days_ago)
        assert standings([bag, jar])[Aspect.STABILITY].standing is standing
    late = [result(Procedure.BAG, Verdict.PASSED, 40.0), result(Procedure.JAR, Verdict.FAILED, 2.0)]
    assert standings(late)[Aspect.STABILITY].standing is Standing.NOT_YET


def test_contradictions_are_said() -> None:
    bag, jar = result(Procedure.BAG, Verdict.PASSED), result(Procedure.JAR, Verdict.FAILED)
    told = [one.template for one in cross_remarks(standings([bag, jar]))]
    assert any("contradict" in text for text in told)
    pot = result(Procedure.RADISH_POT, Verdict.PASSED)
    told = [one.template for one in cross_remarks(standings([jar, pot]))]
    assert any("although it still works" in text for text in told)
    assert uses([bag, jar])["mulch"].readiness is Readiness.UNTOLD


def test_a_failed_bioassay_bars_every_use_beside_broadleaf_plants() -> None:
    good = [
        result(one, Verdict.PASSED) for one in (Procedure.BAG, Procedure.JAR, Procedure.RADISH_POT)
    ]
    pots = result(Procedure.BIOASSAY, Verdict.FAILED)
    assert ready([*good, pots], risks=Risks(True, False)) == set()
    # Who says that nothing was sprayed is contradicted by the pots.
    assert ready([*good, pots]) == set()


@given(some_results)
def test_the_next_test_is_one_that_would_tell_something(results: list[Result]) -> None:
    following = next_test(results, Risks(True, False))
    if following is None:
        assert standings(results)[Aspect.SAFETY].standing is Standing.PASSED
        return
    state = standings(results)[load_guides()[following].aspect]
    newest = {one.judged.procedure: one for one in newest_of_each(results)}
    known = newest.get(following)
    again = known is not None and known.judged.verdict is Verdict.PASSED
    assert not (state.standing is Standing.PASSED and again)
