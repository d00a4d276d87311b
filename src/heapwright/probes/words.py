"""Tells in plain words what is wrong with a probe and what to do about it.

Knows wording only.
"""

from __future__ import annotations

from heapwright.probes.health import Ill, Trouble
from heapwright.sentences import Sentence, hours, say, temperature, word


def told(trouble: Trouble, name: str, hours_since: float) -> Sentence:
    """Return what is wrong with a probe, in one sentence.

    Parameters
    ----------
    trouble : Trouble
    name : str
        What the person calls it.
    hours_since : float
        Since `trouble.since`.

    """
    values = {"probe": word(name), "since": hours(hours_since)}
    if trouble.what is Ill.NEVER_HEARD:
        return say("Probe {probe} has not reported yet, {since} after it was put here.", **values)
    if trouble.what is Ill.SILENT:
        return say("Probe {probe} has been silent for {since}.", **values)
    if trouble.what is Ill.STUCK:
        value = temperature(trouble.value_c if trouble.value_c is not None else 0.0)
        return say(
            "Probe {probe} has shown {value} for {since} without moving, while the air or the "
            "heap did move.",
            value=value,
            **values,
        )
    return say(
        "Probe {probe} jumps: it changed faster than any core can, more than once in a day.",
        **values,
    )


def to_do(trouble: Trouble) -> Sentence:
    """Return what to look at."""
    if trouble.what is Ill.NEVER_HEARD:
        return say(
            "Is its board switched on and in reach of the network? Are address, key and token "
            "typed as they were shown?"
        )
    if trouble.what is Ill.SILENT:
        return say(
            "Look at its battery, its cable and the network, and read the heap by hand meanwhile."
        )
    if trouble.what is Ill.STUCK:
        return say(
            "Is it still in the heap, and is its plug dry? Read the heap by hand and compare."
        )
    return say(
        "Look for a loose plug or water in the tube, and see whether it is still in the heap. "
        "Read the heap by hand meanwhile."
    )
