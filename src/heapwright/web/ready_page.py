"""Lays out the tests of the finish for the page: guide, sources and the fields of the result.

Knows what a card of a test shows. Knows nothing of results.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.finish.guides import load_guides
from heapwright.finish.types import RECORDED, Guide
from heapwright.quantities import UnitSystem
from heapwright.sources import describe
from heapwright.web.ready_form import AskedField, asked_fields
from heapwright.workshop.ready_words import time_words


@dataclass(frozen=True, slots=True)
class TestCard:
    """One test as the page shows it; without fields when its result is read from the log."""

    guide: Guide
    time: str
    source: str
    is_fact: bool
    fields: tuple[AskedField, ...]


def cards_of_tests(system: UnitSystem) -> tuple[TestCard, ...]:
    """Return every test, in the order they are worth doing."""
    return tuple(_card(guide, system) for guide in load_guides().values())


def _card(guide: Guide, system: UnitSystem) -> TestCard:
    typed = guide.procedure in RECORDED
    return TestCard(
        guide=guide,
        time=time_words(guide),
        source=f"{describe(guide.source)}: {guide.place}",
        is_fact=guide.evidence.is_fact,
        fields=asked_fields(guide.procedure, system) if typed else (),
    )
