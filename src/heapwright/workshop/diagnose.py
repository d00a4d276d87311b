"""Answers what is most likely wrong with the heap in a bin, what to look at next, what to do.

Knows how looks, log, model, causes and remedies come together for one answer. Knows no share
(`heapwright.diagnosis`) and no page.
"""

from __future__ import annotations

from heapwright.advice.signs import read_signs
from heapwright.advice.types import HeapView
from heapwright.diagnosis.check import next_check
from heapwright.diagnosis.tables import limits
from heapwright.diagnosis.types import Ranked, Seen, Witnesses
from heapwright.diagnosis.weigh import weigh
from heapwright.errors import NotFound
from heapwright.mixing.words import low
from heapwright.sentences import Sentence, say, word
from heapwright.wording import worded
from heapwright.workshop.diagnose_answer import CheckShown, Diagnosis, RemedyShown
from heapwright.workshop.diagnose_evidence import witnesses_of
from heapwright.workshop.diagnose_remedy import remedy, stand_back
from heapwright.workshop.diagnose_words import cause_shown, check_shown, weighed_words
from heapwright.workshop.garden import Garden
from heapwright.workshop.model import HeapModel, try_heap_model
from heapwright.workshop.today import heap_view

#: Stands beside every such answer.
JUDGEMENT = say(
    "How often each cause shows each sign is judgement, nobody has counted it: take the order as a "
    "hint, and let the next look decide."
)


def diagnose(garden: Garden, bin_key: str, seen: Seen | None = None) -> Diagnosis:
    """Return what is most likely wrong with the heap in a bin.

    Parameters
    ----------
    garden : Garden
    bin_key : str
    seen : Seen, optional
        What a person sees just now, besides what the journal holds; nothing is stored.

    Raises
    ------
    NotFound
        If the bin is unknown or empty.
    NotUnderstood
        If what was seen is no sign.

    """
    batch = garden.batch_in(bin_key)
    if batch is None:
        raise NotFound(
            worded("{name} is empty", name=garden.bin(bin_key).name),
            why="there is no heap that could have a fault",
            instead="Build one first",
            kept="",
        )
    model, no_model = try_heap_model(garden, batch)
    view = heap_view(garden, batch, model)
    witnesses = witnesses_of(garden, batch, view, model, seen)
    ranked = weigh(witnesses)
    danger = _may_burn(view, model, witnesses)
    sure = ranked[0].probability >= limits()["sure_share"]
    return Diagnosis(
        bin_key=bin_key,
        bin_name=garden.bin(bin_key).name,
        batch_name=batch.name,
        headline=_headline(ranked, sure=sure, danger=danger),
        is_danger=danger,
        is_sure=sure,
        causes=tuple(cause_shown(one) for one in ranked),
        weighed=weighed_words(witnesses),
        check=None if danger or _is_watched(view) else _check(ranked, witnesses),
        remedy=stand_back() if danger else _remedy(ranked, garden, model, view),
        notes=(*_unseen(witnesses), *no_model, JUDGEMENT),
    )


def _check(ranked: tuple[Ranked, ...], witnesses: Witnesses) -> CheckShown | None:
    found = next_check(ranked, witnesses)
    return None if found is None else check_shown(found)


def _remedy(
    ranked: tuple[Ranked, ...], garden: Garden, model: HeapModel | None, view: HeapView
) -> RemedyShown:
    return remedy(ranked[0].cause.remedy, garden, model, read_signs(view))


def _may_burn(view: HeapView, model: HeapModel | None, witnesses: Witnesses) -> bool:
    """Return whether nobody should open it: it smokes, or read or is modelled as hot as that."""
    burning_c = limits()["burning_c"]
    smoke = witnesses.get("smoking")
    if (smoke is not None and smoke[0] == 1.0) or "smoking" in view.looks:
        return True
    if view.readings and view.readings[-1].temperature_c >= burning_c:
        return True
    if model is None:
        return False
    return model.interval(model.probe_c[model.now_index]).likely >= burning_c


def _is_watched(view: HeapView) -> bool:
    """Return whether it is so hot that nobody is sent to fork it open only to look."""
    return bool(view.readings) and view.readings[-1].temperature_c >= limits()["watch_fire_c"]


def _headline(ranked: tuple[Ranked, ...], *, sure: bool, danger: bool) -> Sentence:
    if danger:
        return say("It may be burning inside: do not open it.")
    first, second = ranked[0].cause, ranked[1].cause
    if first.id == "fine" and sure:
        return say("Most likely nothing is wrong.")
    if sure:
        return say("Most likely: {cause}.", cause=word(low(first.name)))
    return say(
        "Perhaps {first}, perhaps {second}: look once more.",
        first=word(low(first.name)),
        second=word(low(second.name)),
    )


def _unseen(witnesses: Witnesses) -> tuple[Sentence, ...]:
    """Return what nobody has told yet."""
    notes = []
    if "course" not in witnesses:
        notes.append(say("No fresh reading: take its temperature for a surer answer."))
    if not {"smell", "squeeze"} & set(witnesses):
        notes.append(say("Nobody has smelt or squeezed it lately."))
    return tuple(notes)
