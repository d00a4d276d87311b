"""How damp a heap is, in a word: the gauge of the bin page.

Knows the words and takes the limits between them from the table that the advice uses.
"""

from __future__ import annotations

from heapwright.advice.signs import limits
from heapwright.advice.types import Interval
from heapwright.wording import worded


def damp_word(moisture: Interval) -> str:
    """Return "dry", "damp" or "wet" for a heap's likely moisture."""
    limit = limits()
    if moisture.likely < limit["dry_moisture"]:
        return worded("dry")
    return worded("wet") if moisture.likely > limit["wet_moisture"] else worded("damp")


def damp_marks() -> tuple[float, float, float]:
    """Return the moistures drawn on the gauge: too dry below, wished, too wet above. [0-1]"""
    limit = limits()
    return limit["dry_moisture"], limit["target_moisture"], limit["wet_moisture"]
