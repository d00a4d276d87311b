"""Keeps the names of heaps and jobs from one plan to the next, so that a calendar can follow.

Knows how heaps of two plans are paired and how a plan grows older. Knows no solver.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from heapwright.season.rotation_plan import PlannedBatch, RotationPlan, Stay
from heapwright.season.rotation_types import RotationProblem

#: A heap built so many weeks off is taken for another one.
_FARTHEST_WEEKS = 8


def weeks_later(
    plan: RotationPlan, weeks: int, stands_as: Mapping[str, str] | None = None
) -> RotationPlan:
    """Return a plan as it looks some weeks later, its weeks counted from then.

    Parameters
    ----------
    plan : RotationPlan
    weeks : int
        How many have gone by.
    stands_as : mapping of str to str, optional
        Planned heaps that were built meanwhile, by the key of the heap that stands now.

    Returns
    -------
    RotationPlan
        Without heaps that were to be harvested by then. Stays may begin before week 0.

    """
    stands_as = stands_as or {}
    batches = []
    for batch in plan.batches:
        if batch.harvest_week is not None and batch.harvest_week < weeks:
            continue
        stays = tuple(
            replace(
                stay,
                start_week=stay.start_week - weeks,
                end_week=None if stay.end_week is None else stay.end_week - weeks,
            )
            for stay in batch.stays
        )
        key = stands_as.get(batch.key, batch.key)
        is_standing = batch.is_standing or batch.key in stands_as
        batches.append(replace(batch, key=key, stays=stays, is_standing=is_standing))
    return replace(plan, batches=tuple(batches))


def with_earlier_keys(
    batches: tuple[PlannedBatch, ...], earlier: RotationPlan
) -> tuple[PlannedBatch, ...]:
    """Return the batches with the keys and names that the earlier plan has for the same heaps.

    The same heap has most stays in common, then the nearest week of building. What has no partner
    gets a key that neither plan has.
    """
    old = [batch for batch in earlier.batches if not batch.is_standing]
    new = [batch for batch in batches if not batch.is_standing]
    pairs = sorted(
        (_distance(one, other), n, o)
        for n, one in enumerate(new)
        for o, other in enumerate(old)
        if abs((one.build_week or 0) - (other.build_week or 0)) <= _FARTHEST_WEEKS
    )
    partner: dict[int, int] = {}
    for _, n, o in pairs:
        if n not in partner and o not in partner.values():
            partner[n] = o
    taken = {batch.key for batch in (*earlier.batches, *batches) if batch.is_standing}
    taken |= {batch.key for batch in old}
    named, next_number = {}, 1
    for n, batch in enumerate(new):
        if n in partner:
            named[batch.key] = replace(batch, key=old[partner[n]].key, name=old[partner[n]].name)
            continue
        while f"planned-{next_number}" in taken:
            next_number += 1
        taken.add(f"planned-{next_number}")
        named[batch.key] = replace(batch, key=f"planned-{next_number}", name=str(next_number))
    return tuple(batch if batch.is_standing else named[batch.key] for batch in batches)


def _distance(one: PlannedBatch, other: PlannedBatch) -> tuple[int, int]:
    return -len(_places(one) & _places(other)), abs((one.build_week or 0) - (other.build_week or 0))


def _places(batch: PlannedBatch) -> set[tuple[int, str, int]]:
    return {_place(stay) for stay in batch.stays}


def _place(stay: Stay) -> tuple[int, str, int]:
    return int(stay.stage), stay.bin_key, stay.start_week


def carried_on(earlier: RotationPlan, problem: RotationProblem) -> tuple[PlannedBatch, ...] | None:
    """Return an earlier plan's heaps as heaps of this problem, or None if they are no longer those.

    Heaps that stand take the stage and bin they have now; what the earlier plan has for a heap
    that does not stand as planned cannot be carried on.
    """
    old = {batch.key: batch for batch in earlier.batches}
    batches = []
    for heap in problem.standing:
        batch = old.get(heap.key)
        stays = _from(batch, heap.stage, heap.bin_key, problem.weeks) if batch else None
        if stays is None:
            return None
        batches.append(PlannedBatch(heap.key, heap.name, stays, True, heap.yield_m3))
    new = [batch for batch in earlier.batches if not batch.is_standing]
    bins = problem.bin_numbers
    for batch in new:
        first = batch.stays[0]
        if first.start_week < 0 or any(stay.bin_key not in bins for stay in batch.stays):
            return None
        stays = _from(batch, first.stage, first.bin_key, problem.weeks)
        if stays is not None:
            given = problem.form.yield_share.times(problem.bin_of(first.bin_key).volume_m3)
            batches.append(replace(batch, stays=stays, yield_m3=given))
    return tuple(batches)


def _from(batch: PlannedBatch, stage: int, bin_key: str, weeks: int) -> tuple[Stay, ...] | None:
    stays = tuple(stay for stay in batch.stays if stay.stage >= stage)
    if not stays or stays[0].stage != stage or stays[0].bin_key != bin_key:
        return None
    if batch.is_standing:
        stays = (replace(stays[0], start_week=0), *stays[1:])
    stays = tuple(stay for stay in stays if stay.start_week < weeks)
    last = stays[-1]
    if last.end_week is not None and last.end_week >= weeks:
        stays = (*stays[:-1], replace(last, end_week=None))
    return stays
