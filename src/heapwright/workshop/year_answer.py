"""The typed answer to how a year goes: the plan of the bins, its jobs, beds, chances and reasons.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from heapwright.season.rotation_plan import JobKind, RotationPlan
from heapwright.season.rotation_types import RotationProblem, Yield
from heapwright.sentences import Sentence


@dataclass(frozen=True, slots=True)
class YearJob:
    """A job of the plan, on a day this person works.

    Attributes
    ----------
    id : str
        Stays the same while the plan is made anew, so that a calendar moves it and adds none.
    revision : int
        How often its day or words have changed since it was first planned.
    day : date
    week : int
    kind : JobKind
    batch_key, batch_name : str
    bin_key : str
    to_bin_key : str or None
    loads : float
        Barrow loads of work.
    told : Sentence
    amounts : tuple of Sentence
        How much of what, for a build.
    cautions : tuple of Sentence

    """

    id: str
    revision: int
    day: date
    week: int
    kind: JobKind
    batch_key: str
    batch_name: str
    bin_key: str
    to_bin_key: str | None
    loads: float
    told: Sentence
    amounts: tuple[Sentence, ...] = ()
    cautions: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True)
class YearBed:
    """What a bed gets in time.

    Attributes
    ----------
    key, name : str
    due : date
    wished_m3, served_m3 : float
        Served is what is surely there by then. [m³]
    chance, chance_low, chance_high : float or None
        That all of it is there in time, over the spread of stage lengths, arrivals and yields,
        with the interval that so few draws leave open. [0-1]
    told : Sentence

    """

    key: str
    name: str
    due: date
    wished_m3: float
    served_m3: float
    chance: float | None
    chance_low: float | None
    chance_high: float | None
    told: Sentence

    @property
    def short_m3(self) -> float:
        """To be bought in, or to wait for. [m³]"""
        return max(0.0, self.wished_m3 - self.served_m3)


@dataclass(frozen=True, slots=True)
class YearBatch:
    """A heap of the plan.

    Attributes
    ----------
    key, name : str
    number : int
        Its number on the picture, standing heaps first.
    is_standing : bool
    built, ready : date or None
        None when it stands already, or is ready only after the horizon.
    ready_low, ready_high : date or None
        One in ten earlier, one in ten later; None beyond the horizon.
    yield_m3 : Yield
    told : Sentence

    """

    key: str
    name: str
    number: int
    is_standing: bool
    built: date | None
    ready: date | None
    ready_low: date | None
    ready_high: date | None
    yield_m3: Yield
    told: Sentence


@dataclass(frozen=True, slots=True)
class YearCurves:
    """Compost by week, from the beginning of the plan; arrays of weeks+1 values. [m³]

    Attributes
    ----------
    there_sure, there_likely, there_high : tuple of float
        Made so far and in store.
    wanted : tuple of float
        By the beds so far.

    """

    there_sure: tuple[float, ...]
    there_likely: tuple[float, ...]
    there_high: tuple[float, ...]
    wanted: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class YearAnswer:
    """How a year goes.

    Attributes
    ----------
    problem : RotationProblem
        What the plan was made from.
    plan : RotationPlan
    work_days : tuple of int
        0 is Monday.
    away : tuple of bool, one a week
        Weeks in which nobody works at the heaps.
    headline : Sentence
    proof : Sentence
        How sure it is that no plan is better.
    batches, jobs, beds : tuple
    curves : YearCurves
    cannot : tuple of Sentence
        Wishes that no plan meets.
    changes : tuple of Sentence
        Against the plan before.
    lacking : tuple of Sentence
        What the plan does not know, and where to say it.
    basis : tuple of Sentence
        What it rests on.

    """

    problem: RotationProblem
    plan: RotationPlan
    work_days: tuple[int, ...]
    away: tuple[bool, ...]
    headline: Sentence
    proof: Sentence
    batches: tuple[YearBatch, ...]
    jobs: tuple[YearJob, ...]
    beds: tuple[YearBed, ...]
    curves: YearCurves
    cannot: tuple[Sentence, ...]
    changes: tuple[Sentence, ...]
    lacking: tuple[Sentence, ...]
    basis: tuple[Sentence, ...]

    @property
    def first_day(self) -> date:
        """Monday of the running week."""
        return self.problem.first_day


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A change of the garden and what it would do to the year.

    Attributes
    ----------
    key : str
        "one more bin", "shredding" or "a helper".
    title, told : Sentence
    made_m3, served_m3 : float
        Change of the compost made in the year, and of what beds get in time. [m³]
    note : Sentence or None
        What is not counted in it.

    """

    key: str
    title: Sentence
    told: Sentence
    made_m3: float
    served_m3: float
    note: Sentence | None = None
