"""Answers whether the heap in a bin is finished, for what, what to test next, and when.

Knows how tests, log and model come together for one answer. Knows no limit of a test
(`heapwright.finish`) and no page.
"""

from __future__ import annotations

from heapwright.advice import phrases
from heapwright.errors import NotFound
from heapwright.finish.guides import limits, load_guides
from heapwright.finish.types import Guide, Procedure, Readiness, Verdict
from heapwright.journal.entries import BatchState
from heapwright.sentences import Sentence, days, say, temperature
from heapwright.wording import worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import is_core_reading
from heapwright.workshop.model import try_heap_model
from heapwright.workshop.ready_ahead import expected, ready_date
from heapwright.workshop.ready_answer import Ready
from heapwright.workshop.ready_tests import Tested, in_a_word, ready_for, tested

HOT, COOLING, CURING, TO_TEST, READY = "hot", "cooling", "curing", "may be tested", "ready"
#: Stand beside every such answer.
CAUTIONS = (
    say(
        "Ready means that plants stand it. It is no proof of hygiene: wash hands and produce; "
        "local codes come first."
    ),
    *phrases.USING[:1],
)
#: Stand beside the form of a screening.
SCREENING = (
    say(
        "Screening raises spores: damp it first, stay upwind, wear a mask that fits. With asthma, "
        "lung disease or weak immunity let somebody else do it."
    ),
    say("Lift with half-full barrows and a straight back."),
)
MANURE = say(
    "Manure went in: unless its heat was proven, treat it like raw manure and work it in at least "
    "120 days before a harvest that touches the soil, 90 days before any other (7 CFR 205.203)."
)


def ready(garden: Garden, bin_key: str) -> Ready:
    """Return whether the heap in a bin is finished, and for what.

    Raises
    ------
    NotFound
        If the bin is unknown or empty.

    """
    batch = garden.batch_in(bin_key)
    if batch is None:
        raise NotFound(
            worded("{name} is empty", name=garden.bin(bin_key).name),
            why="there is no heap that could be finished",
            instead="Build one first",
            kept="",
        )
    model, no_model = try_heap_model(garden, batch)
    told = tested(garden.state(), batch, garden.now(), model)
    stage = _stage(batch, told)
    guides = load_guides()
    return Ready(
        bin_key=bin_key,
        batch_name=batch.name,
        stage=stage,
        headline=_headline(stage, told),
        stage_told=_stage_told(stage, batch, told),
        uses=told.uses,
        aspects=tuple(told.states.values()),
        done=told.done,
        reheating=told.reheating,
        remarks=told.remarks,
        following=_following(stage, told),
        guides=tuple(guides.values()),
        date=ready_date(told, garden.now(), model),
        expected=None if model is None else expected(model),
        notes=no_model,
        cautions=CAUTIONS if told.risks.manure is False else (*CAUTIONS, MANURE),
    )


def _following(stage: str, told: Tested) -> Guide | None:
    """Return what to do next: nothing while it is hot, a turn while it cools, then tests."""
    if stage == HOT:
        return None
    following = Procedure.REHEATING if stage == COOLING else told.following
    return None if following is None else load_guides()[following]


def _stage(batch: BatchState, told: Tested) -> str:
    if any(one.use.id == "planting" for one in told.is_ready_for):
        return READY
    if told.curing_days is not None:
        return CURING if told.curing_days < limits()["cure_days"].low else TO_TEST
    if told.reheating.verdict is Verdict.PASSED:
        return CURING
    hottest = _last_core_c(batch)
    if hottest is not None and hottest < limits()["reheated_c"].typical:
        return COOLING
    return HOT


def _last_core_c(batch: BatchState) -> float | None:
    core = [entry for entry in batch.entries if is_core_reading(entry)]
    return float(core[-1].body["temperature_c"]) if core else None


def _headline(stage: str, told: Tested) -> Sentence:
    uses = told.is_ready_for
    if uses:
        return ready_for(uses)
    if in_a_word(told) == "harmful":
        return say("Do not use it beside broadleaf plants: it holds weedkiller.")
    if in_a_word(told) == "contradictory":
        return say("Its tests contradict one another: test again.")
    if in_a_word(told) == "not yet":
        return say("Not ready yet, by its tests.")
    return {
        HOT: say("Not finished: its hot work is not done."),
        COOLING: say("Cooling: see whether it heats again after a turn."),
        CURING: say("Curing: too early to test for planting."),
        TO_TEST: say("It may be tested now."),
    }.get(stage, say("Not known."))


def _stage_told(stage: str, batch: BatchState, told: Tested) -> tuple[Sentence, ...]:
    reasons = []
    if told.curing_days is not None:
        reasons.append(say("It has cured for {done}.", done=days(told.curing_days)))
    last = _last_core_c(batch)
    if stage in (HOT, COOLING):
        if last is None:
            reasons.append(say("Nobody has read its temperature yet."))
        else:
            reasons.append(say("The last reading of its core was {last}.", last=temperature(last)))
    if not told.done:
        reasons.append(say("No test is written down yet; a missing test never counts in favour."))
    if any(one.readiness is Readiness.UNTOLD for one in told.uses) and told.done:
        reasons.append(say("What is not tested is not taken to be good."))
    return tuple(reasons)
