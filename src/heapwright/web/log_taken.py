"""Reads where compost taken out of a bin went: onto a bed, put by, or in the person's words.

Knows the fields. Knows nothing of amounts or of storing.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heapwright.errors import NotUnderstood
from heapwright.journal.entries import GardenState
from heapwright.web.forms import Filled
from heapwright.wording import worded

#: Values of the field: nowhere said, put by, or this and a bed's key.
PUT_BY, ON_BED = "store", "bed:"


def where_taken(form: Filled, state: GardenState) -> Mapping[str, Any]:
    """Return what an entry of kind `use` says of where the compost went."""
    said = form.read("taken_where", "Where it went", str)
    to = form.text("taken_to")
    where: dict[str, Any] = {"where": said} if said else {}
    if to == PUT_BY:
        return where | {"store": True}
    if not to:
        return where
    bed = state.year.beds_in_use.get(to.removeprefix(ON_BED))
    if bed is None:
        form.wrong(
            "taken_to",
            NotUnderstood(worded('No bed is called "{key}"', key=to[:40]), instead="Choose one"),
        )
        return where
    return {"where": said or bed.name, "bed": bed.key}


def places_to_take(state: GardenState) -> list[tuple[str, str]]:
    """Return the beds to choose from, as the form sends them and as they are called."""
    return [(ON_BED + one.key, one.name) for one in state.year.beds_in_use.values()]
