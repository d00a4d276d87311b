"""Reads the forms of the build page: what to keep back, what to use, and what was built.

Knows their fields. Knows nothing of recipes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.heap.types import Cover
from heapwright.journal import fields
from heapwright.journal.entries import GardenState, LotState
from heapwright.quantities import parse_number
from heapwright.quantities.containers import plural_of
from heapwright.web.forms import Filled
from heapwright.web.water_form import read_water
from heapwright.wording import worded
from heapwright.workshop.stock import whole

#: Fields of a lot: these and the lot's key.
KEEP, TOOK = "keep.", "took."


@dataclass(frozen=True, slots=True)
class Built:
    """A heap as the person says it was built."""

    counts: dict[str, float]
    water_kg: float
    name: str
    cover: str


def read_keep_back(form: Filled, state: GardenState) -> dict[str, int]:
    """Return the containers to keep back, by lot; what is wrong is held in the form."""
    kept = {}
    for key in form.beginning_with(KEEP):
        lot = state.lots.get(key)
        if lot is None:
            continue  # a lot that was used up since the page was opened
        count = form.read(KEEP + key, "Keep back", lambda text: whole(text, "Keep back"))
        if count is not None:
            kept[key] = min(count, int(lot.left))
    return kept


def read_built(form: Filled, state: GardenState) -> Built | None:
    """Return what was built, None when something is wrong (held in the form)."""
    counts = {}
    for key, lot in state.lots.items():
        count = form.read(TOOK + key, "Containers", _count_of(lot))
        if count:
            counts[key] = count
    if not counts and not any(name.startswith(TOOK) for name in form.problems):
        form.wrong(
            "took",
            NotUnderstood(
                "No container of anything went in", instead="Say how many of at least one lot"
            ),
        )
    water_kg = read_water(form, state.settings)
    name = form.need(
        "name",
        "The heap's name",
        lambda text: str(fields.text(fields.NAME_LENGTH)("The heap's name", text)),
        "such as Leaves and lawn",
    )
    cover = form.one_of("cover", "Cover", Cover)
    if form.problems or name is None:
        return None
    return Built(counts, water_kg or 0.0, name, cover or str(Cover.OPEN))


def _count_of(lot: LotState) -> Callable[[str], float]:
    """Return what reads how many containers of one lot went in."""
    names = plural_of(lot.container_name)

    def read(text: str) -> float:
        count = parse_number(text, what=names[:1].upper() + names[1:])
        if count < 0:
            raise OutOfRange(f"{count:g} {names}", instead="Write 0 for none")
        if count > lot.left:
            raise OutOfRange(
                f"{count:g} {names}",
                why=worded("{left:g} are left of this lot", left=lot.left),
                instead="Count again, or write down first what came in",
            )
        return count

    return read
