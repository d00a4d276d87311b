"""The words of a heap's story that are the same for every heap: its cautions and its questions.

Knows wording only, and which questions a heap gives cause for. The questions are ours.
"""

from __future__ import annotations

from collections.abc import Iterator

from heapwright.advice import phrases
from heapwright.journal.entries import BatchState, EntryKind
from heapwright.sentences import Measure, Sentence, say, span
from heapwright.workshop.batch_story_answer import MixtureShown

#: Stand on every story.
CAUTIONS: tuple[Sentence, ...] = (
    say(
        "Heat in a home heap is no proof of hygiene: gloves, and wash your hands after touching "
        "compost."
    ),
    say("Spores and dust: keep it damp; with asthma or weak immunity keep away from turning."),
    *phrases.STEAM,
)


def questions(
    batch: BatchState, mixture: MixtureShown | None, is_modelled: bool
) -> tuple[Sentence, ...]:
    """Return questions for a class about this heap.

    Parameters
    ----------
    batch : BatchState
    mixture : MixtureShown or None
        What it was when it was built.
    is_modelled : bool
        Whether a curve with a band is shown.

    """
    return tuple(_questions(batch, mixture, is_modelled))


def _questions(
    batch: BatchState, mixture: MixtureShown | None, is_modelled: bool
) -> Iterator[Sentence]:
    kinds = {entry.kind for entry in batch.entries}
    if mixture is not None:
        yield say(
            "Carbon to nitrogen was {ratio}. Which of what went in brought the carbon, which the "
            "nitrogen? Why is it a range and not one number?",
            ratio=span(mixture.c_to_n.low, mixture.c_to_n.high, Measure.RATIO),
        )
    if EntryKind.READING in kinds:
        yield say(
            "Find the hottest day. What had been done, and what was the weather, in the days "
            "before?"
        )
        yield say("On which days did nobody read it? What do we not know because of that?")
    if EntryKind.TURN in kinds:
        yield say(
            "After a turn it cools, then often heats again. Where does the new heat come from?"
        )
    if is_modelled:
        yield say("Where is the band on the curve wide, where narrow? Why?")
    yield say(
        "The thermometer stood in one place. Where would you put a second one, and what would you "
        "expect it to read?"
    )
    yield say("Which parts of the heap may never have been hot? How could one find out?")
