"""Answers what to put into a bin from what is on hand, in what layers, with how much water.

Knows how stock, bin and wishes become a recipe and a build sheet, and how a built heap is written
down. Knows no arithmetic of mixing (`mixing`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from heapwright.errors import NoRecipe, NotForCompost, NotFound, OutOfRange
from heapwright.journal.entries import BinState, EntryKind, LotState
from heapwright.materials.hazards import check_allowed
from heapwright.mixing.layers import build_sheet
from heapwright.mixing.recipe import choose_recipe
from heapwright.mixing.targets import default_wishes
from heapwright.mixing.types import Lot, Wishes
from heapwright.sentences import Sentence, say, word
from heapwright.wording import worded
from heapwright.workshop.answers import BuildAnswer, LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.lots import material_of, mixing_lot
from heapwright.workshop.setup import free_key
from heapwright.workshop.weather import rainfall_kind


def plan_build(
    garden: Garden,
    bin_key: str,
    *,
    keep_back: Mapping[str, int] | None = None,
    use_conditional: frozenset[str] = frozenset(),
    wishes: Wishes | None = None,
) -> BuildAnswer:
    """Return the recipe and the layers for one bin from the lots on hand.

    Parameters
    ----------
    garden : Garden
    bin_key : str
    keep_back : mapping lot key -> containers, optional
        Containers to leave in reserve, in place of what the lot says.
    use_conditional : frozenset of str
        Keys of lots whose condition this person says is met.
    wishes : Wishes, optional
        Bands to meet; those of the targets table for this bin if not given.

    Raises
    ------
    NotFound
        If the bin is unknown.
    NoRecipe
        If nothing usable is on hand.

    """
    bin_state = garden.bin(bin_key)
    usable, left_out = _sort_out(garden, keep_back or {}, use_conditional)
    if not usable:
        raise NoRecipe(
            "There is nothing on hand to build with",
            instead="Write down what you have first: leaves, clippings, scraps",
        )
    wished = wishes or _usual_wishes(garden, bin_state)
    recipe = choose_recipe(usable, wished)
    sheet = build_sheet(
        recipe,
        bin_state.width_m,
        bin_state.depth_m,
        bin_state.height_m,
        hose_kg_s=garden.state().settings.hose_kg_s,
    )
    return BuildAnswer(bin_state, wished, recipe, sheet, left_out, _notes(garden, bin_state))


def record_build(
    garden: Garden,
    bin_key: str,
    counts: Mapping[str, float],
    water_kg: float,
    name: str,
    *,
    origin: str,
    at: datetime | None = None,
    entry_id: str | None = None,
    cover: str = "brown cap",
    author: str = "",
) -> LogAnswer:
    """Write down a heap as it was built: so many containers of each lot, so much water.

    `origin` is that of the entry.

    Raises
    ------
    HeapwrightError
        If the bin is not empty, a lot is unknown or more was taken than is left.

    """
    if not any(count > 0 for count in counts.values()):
        raise OutOfRange(
            "No container of anything went in", instead="Say how many of at least one lot"
        )
    if any(count < 0 for count in counts.values()):
        raise OutOfRange("Fewer than no containers", instead="Give 0 for a lot that was not used")
    for lot_key in counts:
        garden.lot(lot_key)
    lines = [{"lot": key, "count": count} for key, count in counts.items() if count > 0]
    batch = free_key(name, garden.state().batches) if entry_id is None else f"batch-{entry_id}"
    body = {
        "batch": batch,
        "name": name,
        "bin": bin_key,
        "lines": lines,
        "water_kg": water_kg,
        "cover": cover,
    }
    return log(
        garden, EntryKind.BUILD, body, at=at, entry_id=entry_id, author=author, origin=origin
    )


def _usual_wishes(garden: Garden, bin_state: BinState) -> Wishes:
    volume_m3 = bin_state.width_m * bin_state.depth_m * bin_state.height_m
    return default_wishes(volume_m3, rainfall_kind(garden))


def _sort_out(
    garden: Garden, keep_back: Mapping[str, int], use_conditional: frozenset[str]
) -> tuple[list[Lot], tuple[tuple[LotState, Sentence], ...]]:
    """Return the lots that may be used, and the others with the reason."""
    unknown = [key for key in (*keep_back, *use_conditional) if key not in garden.state().lots]
    if unknown:
        raise NotFound(worded('No lot is called "{unknown}"', unknown=unknown[0]))
    now = garden.now()
    usable: list[Lot] = []
    left_out: list[tuple[LotState, Sentence]] = []
    for state in garden.state().lots.values():
        if state.left < 1:
            continue
        reason = _why_not(state, use_conditional)
        if reason is None:
            lot = mixing_lot(state, now)
            usable.append(replace(lot, keep_back=keep_back.get(state.key, state.keep_back)))
        else:
            left_out.append((state, reason))
    return usable, tuple(left_out)


def _why_not(state: LotState, use_conditional: frozenset[str]) -> Sentence | None:
    material = material_of(state)
    met: frozenset[str] = frozenset()
    if material.hazard is not None and state.key in use_conditional:
        met = frozenset({material.hazard.condition})
    try:
        check_allowed(material, met)
    except NotForCompost as refusal:
        return say("{why}", why=word(refusal.explanation()))
    return None


def _notes(garden: Garden, bin_state: BinState) -> tuple[Sentence, ...]:
    if bin_state.batch_key is None:
        return ()
    batch = garden.state().batches[bin_state.batch_key]
    return (
        say(
            "{batch} still lies in {bin}: move it on before you build here.",
            batch=word(batch.name),
            bin=word(bin_state.name),
        ),
    )
