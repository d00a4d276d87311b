"""The cautions that stand beside a task on a form, before it is known how hot the heap is.

Knows which tasks the forms hold and takes the words from `advice`; where they depend on the heap,
the careful ones are taken, as for a hot heap.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from heapwright.advice import phrases
from heapwright.advice.signs import Signs, limits, read_signs
from heapwright.advice.types import HeapView, TemperatureReading
from heapwright.sentences import Sentence


@cache
def for_log() -> Mapping[str, tuple[Sentence, ...]]:
    """Return the cautions by task: squeeze, turn, wet, use, and fire (it smokes or scorches)."""
    return {
        "squeeze": phrases.HANDLING,
        "turn": phrases.turning(_hot_heap()),
        "wet": phrases.WETTING,
        "use": phrases.USING,
        "fire": phrases.FIRE,
    }


def _hot_heap() -> Signs:
    """Return the signs of a heap that is hot; all else is not known."""
    hot = TemperatureReading(hours_ago=0.0, temperature_c=limits()["leave_alone_low_c"])
    return read_signs(
        HeapView(
            age_days=0.0,
            curing_days=None,
            readings=(hot,),
            hours_since_turn=None,
            hours_since_wetting=None,
            turns=0,
            moisture=None,
            degradable_left=None,
            core_tomorrow_c=None,
            squeeze="",
            smell="",
            pests=(),
            looks=(),
            is_capped=False,
            free_bin="",
            water_to_target_kg=None,
            volume_m3=0.0,
        )
    )
