"""What a year's rotation plan holds: stays of heaps in bins, jobs of each week, beds served.

Knows the answer's form and how jobs follow from stays. Knows no solver.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from heapwright.season.rotation_types import RotationProblem, Stage, Yield


class JobKind(StrEnum):
    """What is done with a fork and a barrow."""

    BUILD = "build"
    MOVE = "move"  # into a bin further down the row, inside out
    STIR = "stir"  # where it stands, at the end of a stage
    HARVEST = "harvest"


class Proof(StrEnum):
    """How sure it is that no plan is better."""

    PROVED = "proved"  # no plan is better by the weights given
    WITHIN_GAP = "within gap"  # none is better by more than the gap told
    BY_RULE = "by rule"  # made by simple rules; nothing is proved


@dataclass(frozen=True, slots=True)
class Stay:
    """A stage of a heap in a bin.

    Attributes
    ----------
    start_week : int
        Week of the job by which it begins; 0 for what stands already.
    end_week : int or None
        Week of the job by which it ends; None when that lies beyond the horizon.

    """

    stage: Stage
    bin_key: str
    start_week: int
    end_week: int | None


@dataclass(frozen=True, slots=True)
class PlannedBatch:
    """A heap of the plan.

    Attributes
    ----------
    key : str
        Stays the same when the plan is made anew from an earlier one.
    stays : tuple of Stay
        One for each stage it enters, in order, each beginning when the one before ends.
    is_standing : bool
        Whether it stands when the plan begins.
    yield_m3 : Yield
        [m³]

    """

    key: str
    name: str
    stays: tuple[Stay, ...]
    is_standing: bool
    yield_m3: Yield

    @property
    def build_week(self) -> int | None:
        """Week of building, None for what stands already."""
        return None if self.is_standing else self.stays[0].start_week

    @property
    def harvest_week(self) -> int | None:
        """Week in which it is taken out, None beyond the horizon."""
        last = self.stays[-1]
        return last.end_week if last.stage is Stage.CURE else None


@dataclass(frozen=True, slots=True)
class Job:
    """A job of the plan.

    Attributes
    ----------
    bin_key : str
        Where it is done; of a move, where the heap lies before.
    to_bin_key : str or None
        Of a move, where it goes.
    loads : float
        Barrow loads of work.

    """

    week: int
    kind: JobKind
    batch_key: str
    batch_name: str
    bin_key: str
    to_bin_key: str | None
    loads: float


@dataclass(frozen=True, slots=True)
class BedServed:
    """What a bed gets in time of what it waits for. [m³]"""

    key: str
    name: str
    due_week: int
    wished_m3: float
    served_m3: float

    @property
    def short_m3(self) -> float:
        """To be bought in, or to wait for. [m³]"""
        return max(0.0, self.wished_m3 - self.served_m3)


@dataclass(frozen=True, slots=True)
class RotationPlan:
    """A year's rotation.

    Attributes
    ----------
    batches : tuple of PlannedBatch
        Standing heaps first, then those to be built in the order of building.
    beds : tuple of BedServed
        In the order of the problem; what is sure to be there shared out by weight.
    made_m3 : float
        Compost that is harvested within the horizon, as it is counted on. [m³]
    proof : Proof
    worth, bound : float
        The objective of this plan and what no plan can exceed, in litres of compost for a bed of
        weight 1. `bound` is infinite for a plan by rule.
    seconds : float
        Spent on solving.

    """

    batches: tuple[PlannedBatch, ...]
    beds: tuple[BedServed, ...]
    made_m3: float
    proof: Proof
    worth: float
    bound: float
    seconds: float

    @property
    def gap(self) -> float:
        """By what share of the bound a better plan could be better, at most. [0-1]"""
        if self.bound == float("inf"):
            return float("inf")
        return max(0.0, self.bound - self.worth) / max(1.0, abs(self.bound))


def jobs_of(plan: RotationPlan, problem: RotationProblem) -> tuple[Job, ...]:
    """Return every job by week; within a week in the order it must be done (last bin first)."""
    jobs = [job for batch in plan.batches for job in _jobs_of_batch(batch, problem)]
    return tuple(sorted(jobs, key=lambda job: (job.week, -problem.bin_numbers[job.bin_key])))


def _jobs_of_batch(batch: PlannedBatch, problem: RotationProblem) -> list[Job]:
    jobs = []

    def note(week: int, kind: JobKind, bin_key: str, to: str | None, stage: int) -> None:
        loads = loads_of(problem, batch, kind, stage)
        jobs.append(Job(week, kind, batch.key, batch.name, bin_key, to, loads))

    first = batch.stays[0]
    if not batch.is_standing:
        note(first.start_week, JobKind.BUILD, first.bin_key, None, Stage.FIRST)
    for before, after in zip(batch.stays, batch.stays[1:], strict=False):
        if before.bin_key == after.bin_key:
            note(after.start_week, JobKind.STIR, before.bin_key, None, after.stage)
        else:
            note(after.start_week, JobKind.MOVE, before.bin_key, after.bin_key, after.stage)
    if batch.harvest_week is not None:
        note(batch.harvest_week, JobKind.HARVEST, batch.stays[-1].bin_key, None, Stage.CURE)
    return jobs


def loads_of(problem: RotationProblem, batch: PlannedBatch, kind: JobKind, stage: int) -> float:
    """Return the barrow loads of a job by which a batch enters a stage, or ends its last one."""
    rates = problem.work
    if kind is JobKind.HARVEST:
        return batch.yield_m3.likely / rates.barrow_m3 * rates.harvest
    rate = {JobKind.BUILD: rates.build, JobKind.MOVE: rates.move, JobKind.STIR: rates.stir}[kind]
    return volume_at(problem, batch, stage) / rates.barrow_m3 * rate


def volume_at(problem: RotationProblem, batch: PlannedBatch, stage: int) -> float:
    """Return the volume of a batch at the beginning of a stage. [m³]"""
    if batch.is_standing:
        return next(heap.volume_m3 for heap in problem.standing if heap.key == batch.key)
    built = problem.bin_of(batch.stays[0].bin_key).volume_m3
    return built * problem.form.volume_share[stage]
