"""Questions for a class that heaps side by side give cause for.

Knows wording only, and which heaps and patterns a question is about. The questions are ours.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heapwright.sentences import Sentence, days, inside, say, share, temperature, word
from heapwright.workshop.compare_answer import Finding, HeapCompared, Standing
from heapwright.workshop.compare_words import MORE, came_of_it, count_of


def questions(
    heaps: Sequence[HeapCompared], findings: Sequence[Finding], hot_c: float
) -> tuple[Sentence, ...]:
    """Return questions for a class that these heaps give cause for."""
    return tuple(_questions(heaps, findings, hot_c))


def _questions(
    heaps: Sequence[HeapCompared], findings: Sequence[Finding], hot_c: float
) -> Iterator[Sentence]:
    yield from _ask_first_and_last(heaps, hot_c)
    least_read = _least_read(heaps)
    if least_read is not None:
        yield say(
            "{heap} was read on {read} of {whole}. What may have happened on the others, and how "
            "would the picture change?",
            heap=word(least_read.name),
            read=count_of(least_read.hot.days_read),
            whole=days(_working_days(least_read)),
        )
    if findings:
        telling = [one for one in findings if one.standing is not Standing.TOO_FEW]
        top = (telling or findings)[0]
        yield say(
            'The strongest pattern here is "{choice}: {outcome}". Plan two heaps, side by side, '
            "that would test it fairly. What must be the same in both?",
            choice=inside(MORE[top.choice]),
            outcome=inside(came_of_it(top.outcome, hot_c, is_more=top.leaning > 0)),
        )
        yield say(
            "Write the {count} heaps on slips of paper, draw them blind and lay them in a row. How "
            "often does the row lean as far as the real one? Do it twenty times.",
            count=count_of(top.heaps),
        )
    given = [one for one in heaps if one.yield_share is not None]
    if given:
        most = max(given, key=lambda one: float(one.yield_share or 0.0))
        yield say(
            "{heap} left {share} of the volume it was built with. Where did the rest go?",
            heap=word(most.name),
            share=share(float(most.yield_share or 0.0)),
        )
    if any(one.missing for one in heaps):
        yield say("Which empty field of the table would tell most, and how would you measure it?")


def _ask_first_and_last(heaps: Sequence[HeapCompared], hot_c: float) -> Iterator[Sentence]:
    """Ask about the heap that was surely hot first and one that surely was not so soon."""
    told = [(one.name, one.days_to_hot) for one in heaps if one.days_to_hot is not None]
    soon = min(
        ((it.high, name, it) for name, it in told if it.high is not None),
        key=lambda one: one[0],
        default=None,
    )
    late = max(((it.low, name, it) for name, it in told), key=lambda one: one[0], default=None)
    if soon is not None and late is not None and late[2].is_surely_more_than(soon[2]):
        yield say(
            "{first} was read at {hot} after {soon}, {last} only after more than {late}. What was "
            "different about them? Find three things.",
            first=word(soon[1]),
            hot=temperature(hot_c),
            soon=days(round(soon[0])),
            last=word(late[1]),
            late=days(round(late[0])),
        )


def _working_days(heap: HeapCompared) -> int:
    """Return how long a heap was worked: to its curing, its end, or now."""
    whole = (heap.until - heap.built_at).total_seconds() / 86_400
    return max(1, round(whole if heap.cured_after_days is None else heap.cured_after_days))


def _least_read(heaps: Sequence[HeapCompared]) -> HeapCompared | None:
    """Return the heap read on the smallest share of its working days, if somebody read it."""
    read = [one for one in heaps if one.hot.days_read > 0]
    return min(read, key=lambda one: one.hot.days_read / _working_days(one), default=None)
