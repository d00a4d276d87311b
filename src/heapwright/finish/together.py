"""What all tests of a heap say together, what it is ready for, and which test comes next.

Knows how verdicts join: a missing test never counts in favour, and tests that contradict one
another are said to do so. Knows nothing of single tests' limits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from heapwright.finish.guides import limits, load_guides, load_uses
from heapwright.finish.types import (
    Aspect,
    AspectState,
    Procedure,
    Readiness,
    Result,
    Risks,
    Standing,
    Use,
    UseState,
    Verdict,
)
from heapwright.sentences import Measure, Sentence, Value, days, inside, say
from heapwright.tables import Estimate

#: Which test to do first for each aspect, and what else there is.
FIRST_TESTS: Mapping[Aspect, tuple[Procedure, ...]] = {
    Aspect.STABILITY: (Procedure.BAG, Procedure.JAR, Procedure.SELF_HEATING),
    Aspect.MATURITY: (Procedure.RADISH_POT, Procedure.GERMINATION),
    Aspect.LOOK: (Procedure.LOOK,),
    Aspect.SAFETY: (Procedure.BIOASSAY,),
}

States = Mapping[Aspect, AspectState]


def standings(results: Sequence[Result]) -> dict[Aspect, AspectState]:
    """Return what the tests of each aspect say together.

    Of several results of one test the newest counts, and one that could not say counts not at
    all; nor does a no that is older than a month, for a heap ripens. A pass and a no within some
    days of each other contradict; else the newer decides.

    Parameters
    ----------
    results : sequence of Result
        In any order.

    """
    newest = newest_of_each(results)
    return {aspect: _state(aspect, newest) for aspect in Aspect}


def newest_of_each(results: Sequence[Result]) -> tuple[Result, ...]:
    """Return the newest result of each test, the newest first."""
    found: dict[Procedure, Result] = {}
    for one in sorted(results, key=lambda r: r.days_ago):
        found.setdefault(one.judged.procedure, one)
    return tuple(found.values())


def _state(aspect: Aspect, newest: Sequence[Result]) -> AspectState:
    guides = load_guides()
    mine = [one for one in newest if guides[one.judged.procedure].aspect is aspect]
    speaking = [one for one in mine if _speaks(one, aspect)]
    told = tuple(_told(one) for one in mine)
    if not speaking:
        return AspectState(aspect, Standing.UNTESTED, 0, told)
    for_it = [one for one in speaking if one.judged.verdict is Verdict.PASSED]
    against = [one for one in speaking if one.judged.verdict.says_no]
    # A pass that is older than a no tells of what the compost was.
    passes = sum(all(one.days_ago <= other.days_ago for other in against) for one in for_it)
    if _contradict(for_it, against):
        return AspectState(aspect, Standing.CONTRADICTORY, 0, told)
    if passes:
        return AspectState(aspect, Standing.PASSED, passes, told)
    return AspectState(aspect, Standing.NOT_YET, 0, told)


def _speaks(one: Result, aspect: Aspect) -> bool:
    """Whether a result still counts: a heap ripens, but weedkiller does not go by itself."""
    if one.judged.verdict is Verdict.CANNOT_SAY:
        return False
    is_old = one.days_ago > limits()["no_counts_days"].typical
    return not (is_old and one.judged.verdict.says_no and aspect is not Aspect.SAFETY)


def _contradict(for_it: Sequence[Result], against: Sequence[Result]) -> bool:
    together = limits()["together_days"].typical
    return any(abs(yes.days_ago - no.days_ago) <= together for yes in for_it for no in against)


def _told(one: Result) -> Sentence:
    judged = one.judged
    return say(
        "{test}: {reason}",
        test=_word(load_guides()[judged.procedure].name),
        reason=inside(judged.reason),
    )


def use_states(
    states: States, risks: Risks, *, curing_days: float | None, is_hot: bool
) -> tuple[UseState, ...]:
    """Return for each use whether the compost may be used so, and what stands against it.

    Parameters
    ----------
    states : mapping
        From `standings`.
    risks : Risks
        What went in.
    curing_days : float or None
        Since it was left to cure; None when it was not.
    is_hot : bool
        Whether it was read hot since its last turn: then it is not finished whatever tests say.

    """
    return tuple(_use_state(use, states, risks, curing_days, is_hot) for use in load_uses())


def _use_state(
    use: Use, states: States, risks: Risks, curing_days: float | None, is_hot: bool
) -> UseState:
    no: list[Sentence] = []
    untold: list[Sentence] = []
    if is_hot:
        no.append(say("It is still hot."))
    for aspect, wanted in ((Aspect.STABILITY, use.stability), (Aspect.MATURITY, use.maturity)):
        _hold(states[aspect], wanted, no, untold)
    if use.asks_curing:
        _hold_curing(risks, curing_days, no, untold)
    if use.is_near_broadleaf:
        _hold_weedkiller(states[Aspect.SAFETY], risks, no, untold)
    readiness = Readiness.NOT_YET if no else Readiness.UNTOLD if untold else Readiness.READY
    return UseState(use, readiness, (*no, *untold))


_MISSING = {
    Aspect.STABILITY: say("Whether it still works is not tested."),
    Aspect.MATURITY: say("Whether seedlings stand it is not tested."),
}
_AGAINST = {
    Aspect.STABILITY: say("By what was seen it still works."),
    Aspect.MATURITY: say("By its tests seedlings do not stand it yet."),
}
_SPLIT = {
    Aspect.STABILITY: say("The tests of whether it still works contradict one another."),
    Aspect.MATURITY: say("The tests with seedlings contradict one another."),
}


def _hold(state: AspectState, wanted: int, no: list[Sentence], untold: list[Sentence]) -> None:
    if state.standing is Standing.NOT_YET and (wanted or state.aspect is Aspect.STABILITY):
        no.append(_AGAINST[state.aspect])
    elif wanted == 0:
        return
    elif state.standing is Standing.CONTRADICTORY:
        untold.append(_SPLIT[state.aspect])
    elif state.standing is Standing.UNTESTED:
        untold.append(_MISSING[state.aspect])
    elif state.passes < wanted:
        untold.append(
            say(
                "Only one test of whether it still works has passed; {wanted} are asked here.",
                wanted=Value(wanted, Measure.COUNT),
            )
        )


def cure_days(risks: Risks) -> Estimate:
    """Return how long a heap cures: longer with manure, or when nobody knows what went in."""
    return limits()["cure_days" if risks.manure is False else "cure_manure_days"]


def _hold_curing(
    risks: Risks, cured: float | None, no: list[Sentence], untold: list[Sentence]
) -> None:
    wanted = cure_days(risks).low
    if cured is None:
        untold.append(say("It was not written down since when it cures."))
    elif cured < wanted:
        no.append(
            say("It has cured {done} of at least {wanted}.", done=days(cured), wanted=days(wanted))
        )


def _hold_weedkiller(
    state: AspectState, risks: Risks, no: list[Sentence], untold: list[Sentence]
) -> None:
    if state.standing is Standing.NOT_YET:
        no.append(say("Pea or bean pots show weedkiller: keep it off broadleaf plants."))
    elif state.standing is Standing.PASSED or risks.weedkiller is False:
        return
    elif risks.weedkiller is None:
        untold.append(
            say("What went in is not known: grow peas or beans in it before broadleaf plants.")
        )
    else:
        untold.append(
            say(
                "Hay, straw or manure went in: grow peas or beans in it before "
                "broadleaf plants, unless you know that nothing was sprayed."
            )
        )


def cross_remarks(states: States) -> tuple[Sentence, ...]:
    """Return what it means when stability and maturity disagree."""
    stable, mature = states[Aspect.STABILITY].standing, states[Aspect.MATURITY].standing
    remarks = []
    if stable is Standing.NOT_YET and mature is Standing.PASSED:
        remarks.append(
            say(
                "Seedlings stand it although it still works: it may take air and nitrogen from "
                "roots later, so wait."
            )
        )
    if stable is Standing.PASSED and mature is Standing.NOT_YET:
        remarks.append(say("The heat is over but seedlings suffer: let it cure longer."))
    if Standing.CONTRADICTORY in (stable, mature):
        remarks.append(
            say("Tests contradict one another: mix samples from several places and test again.")
        )
    if states[Aspect.LOOK].standing is Standing.PASSED and Standing.UNTESTED in (stable, mature):
        remarks.append(say("It looks finished; looks alone prove nothing."))
    return tuple(remarks)


def next_test(results: Sequence[Result], risks: Risks) -> Procedure | None:
    """Return the test that would tell most now; None when none is missing.

    The slow pots come early where weedkiller may be in it, because they take weeks.
    """
    states = standings(results)
    done = {one.judged.procedure for one in results}
    wants = [Aspect.STABILITY, Aspect.MATURITY]
    if risks.weedkiller is not False:
        wants.append(Aspect.SAFETY)
    for aspect in (*wants, Aspect.LOOK):
        state = states[aspect]
        if state.standing is Standing.PASSED:
            continue
        choice = FIRST_TESTS[aspect]
        if state.standing is Standing.CONTRADICTORY:
            fresh = [one for one in choice if one not in done]
            return fresh[0] if fresh else choice[0]
        if state.standing is Standing.NOT_YET:
            tried = [one for one in newest_of_each(results) if one.judged.verdict.says_no]
            mine = [one for one in tried if one.judged.procedure in choice]
            return mine[0].judged.procedure if mine else choice[0]
        return choice[0]
    if states[Aspect.STABILITY].passes < max(use.stability for use in load_uses()):
        fresh = [one for one in FIRST_TESTS[Aspect.STABILITY] if one not in done]
        return fresh[0] if fresh else None
    return None


def _word(text: str) -> Value:
    return Value(text, Measure.WORD)
