"""How much water a year's planned heaps will be given, week by week, heap run by heap run.

Knows a plan and what each stage takes by the season it is built in. Knows no month and no price.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from heapwright.season.rotation_plan import PlannedBatch, RotationPlan, Stay
from heapwright.season.rotation_types import RotationProblem, StandingHeap
from heapwright.season.stage_types import FloatArray, StageLengths


def water_by_week(
    plan: RotationPlan,
    problem: RotationProblem,
    lengths: StageLengths,
    built_weeks: Mapping[str, int],
) -> FloatArray:
    """Return the water that the heaps of a plan will be given.

    A stage takes what the model's runs took that were built in the same week of the year, in
    proportion to the volume built, spread evenly over the weeks it is planned to last. Of the
    stage a standing heap is in, the part is left that its weeks left are of the stage's own.

    Parameters
    ----------
    plan : RotationPlan
    problem : RotationProblem
        What the plan was made from.
    lengths : StageLengths
        Of the weeks from the plan's first on.
    built_weeks : mapping key -> int
        Of each standing heap, the week of `lengths` with the season it was built in.

    Returns
    -------
    array, shape (weeks, members)
        Members are the model's runs, the same ones in every heap. [kg], 1 kg is 1 litre

    Notes
    -----
    Known bias: the water of building is part of the first stage's and is spread with it, so the
    week of building takes more than is told, the weeks after it less.

    """
    found = np.zeros((problem.weeks, lengths.members))
    for part in _parts(plan, problem, lengths, built_weeks):
        a_week = part.water_kg / part.weeks
        found[part.first_week : part.first_week + part.weeks] += a_week
    return found


@dataclass(frozen=True, slots=True)
class _Part:
    """Water of one stage of one heap, shape (members,), and the weeks it is spread over."""

    water_kg: FloatArray
    first_week: int
    weeks: int


def _parts(
    plan: RotationPlan,
    problem: RotationProblem,
    lengths: StageLengths,
    built_weeks: Mapping[str, int],
) -> Iterator[_Part]:
    standing = {heap.key: heap for heap in problem.standing}
    for batch in plan.batches:
        heap = standing.get(batch.key)
        week = built_weeks[batch.key] if heap is not None else int(batch.build_week or 0)
        times = _built_m3(batch, problem, lengths, heap) / lengths.built_m3
        for stay in batch.stays:
            left = _left(stay, heap, problem, week)
            water = lengths.water_kg[stay.stage, week] * times * left
            yield _Part(water, stay.start_week, _weeks(stay, problem, week))


def _built_m3(
    batch: PlannedBatch,
    problem: RotationProblem,
    lengths: StageLengths,
    heap: StandingHeap | None,
) -> float:
    """Return the volume a heap had when it was built; of a standing one as it shrank. [m³]"""
    if heap is None:
        return problem.bin_of(batch.stays[0].bin_key).volume_m3
    shares = lengths.volume_share[heap.stage]
    there = shares[np.isfinite(shares)]
    return heap.volume_m3 / float(np.median(there)) if there.size else heap.volume_m3


def _left(stay: Stay, heap: StandingHeap | None, problem: RotationProblem, week: int) -> float:
    """Return which part of a stage's water is still to be given. [0-1]"""
    if heap is None or stay.stage is not heap.stage:
        return 1.0
    return min(1.0, heap.weeks_left / problem.stage_weeks[stay.stage][week])


def _weeks(stay: Stay, problem: RotationProblem, week: int) -> int:
    """Return over how many weeks a stage's water is spread; at least one."""
    if stay.end_week is not None:
        return max(1, stay.end_week - stay.start_week)
    to_horizon = problem.weeks - stay.start_week
    return max(1, to_horizon, problem.stage_weeks[stay.stage][week])
