"""Puts the plan's jobs on the days on which this person works, each with amounts and cautions.

Knows how the jobs of a week are spread over its working days, and how a job keeps its id from one
plan to the next. Knows no plan but the one it is given.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import groupby

from heapwright.advice import phrases
from heapwright.season.rotation_plan import Job, JobKind, PlannedBatch, RotationPlan, jobs_of
from heapwright.season.rotation_types import RotationProblem, Stage
from heapwright.sentences import Sentence, render, say, volume, word
from heapwright.wording import dated
from heapwright.workshop.year_answer import YearJob
from heapwright.workshop.year_kept import KeptJob

CAUTIONS: Mapping[JobKind, tuple[Sentence, ...]] = {
    JobKind.BUILD: (*phrases.DUST, *phrases.HANDLING),
    JobKind.MOVE: (*phrases.STEAM, *phrases.FORKING),
    JobKind.STIR: (*phrases.STEAM, *phrases.FORKING),
    JobKind.HARVEST: phrases.USING,
}


def year_jobs(
    plan: RotationPlan,
    problem: RotationProblem,
    free: Sequence[Sequence[date]],
    names: Mapping[str, str],
    known: Mapping[str, KeptJob],
    planned_as: Mapping[str, str],
    gather_weeks: int,
) -> tuple[YearJob, ...]:
    """Return the plan's jobs by day.

    Parameters
    ----------
    plan : RotationPlan
    problem : RotationProblem
    free : sequence of sequence of date
        The days of each week on which this person works.
    names : mapping batch key -> name
    known : mapping job id -> KeptJob
        What a calendar was told before: a job whose day or words are others is a new revision.
    planned_as : mapping batch key -> key
        Under which a heap that stands now was planned once.
    gather_weeks : int
        Over which a heap is filled.

    """
    batches = {one.key: one for one in plan.batches}
    jobs = []
    for week, there in groupby(jobs_of(plan, problem), key=lambda job: job.week):
        days = free[week] or [problem.day_of(week)]
        for job, day in _spread(list(there), days):
            key = job_id(job, batches[job.batch_key], planned_as)
            jobs.append(_job(key, job, day, problem, names, known, gather_weeks))
    return tuple(jobs)


def _spread(jobs: Sequence[Job], days: Sequence[date]) -> Iterator[tuple[Job, date]]:
    """Yield the jobs in their order with a day each, about as much work on every day."""
    total = sum(job.loads for job in jobs)
    done = 0.0
    for job in jobs:
        middle = done + job.loads / 2.0
        place = int(middle / total * len(days)) if total > 0 else 0
        done += job.loads
        yield job, days[min(place, len(days) - 1)]


def _job(
    key: str,
    job: Job,
    day: date,
    problem: RotationProblem,
    names: Mapping[str, str],
    known: Mapping[str, KeptJob],
    gather_weeks: int,
) -> YearJob:
    told = job_told(job, problem, names)
    amounts = tuple(_amounts(job, day, problem, gather_weeks)) if job.kind is JobKind.BUILD else ()
    before = known.get(key)
    words = words_of((told, *amounts))
    revision = 0
    if before is not None:
        is_same = before.day == day and before.words == words
        revision = before.revision + (not is_same)
    return YearJob(
        id=key,
        revision=revision,
        day=day,
        week=job.week,
        kind=job.kind,
        batch_key=job.batch_key,
        batch_name=names[job.batch_key],
        bin_key=job.bin_key,
        to_bin_key=job.to_bin_key,
        loads=job.loads,
        told=told,
        amounts=amounts,
        cautions=CAUTIONS[job.kind],
    )


def job_id(job: Job, batch: PlannedBatch, planned_as: Mapping[str, str]) -> str:
    """Return what names a job whatever its week, bin and way: the heap and the stage it begins."""
    key = planned_as.get(batch.key, batch.key)
    if job.kind is JobKind.HARVEST:
        return f"{key}-harvest"
    begun = next(
        stay.stage
        for stay in batch.stays
        if stay.start_week == job.week and stay.bin_key == (job.to_bin_key or job.bin_key)
    )
    return f"{key}-{Stage(begun).name.lower()}"


def words_of(sentences: Sequence[Sentence]) -> str:
    """Return sentences as plain words, to see whether they are still the same."""
    from heapwright.workshop.plain import metric_reader

    return " ".join(render(one, metric_reader()) for one in sentences)


def job_told(job: Job, problem: RotationProblem, names: Mapping[str, str]) -> Sentence:
    """Return what is to be done, in a sentence."""
    name = word(names[job.batch_key])
    here = word(problem.bin_of(job.bin_key).name)
    if job.kind is JobKind.BUILD:
        return say("Begin {heap} in {bin}.", heap=name, bin=here)
    if job.kind is JobKind.HARVEST:
        return say("Take {heap} out of {bin}.", heap=name, bin=here)
    if job.kind is JobKind.MOVE and job.to_bin_key is not None:
        there = word(problem.bin_of(job.to_bin_key).name)
        return say("Move {heap} from {bin} into {to}.", heap=name, bin=here, to=there)
    return say("Turn {heap} where it stands in {bin}.", heap=name, bin=here)


def _amounts(
    job: Job, day: date, problem: RotationProblem, gather_weeks: int
) -> Iterator[Sentence]:
    room = problem.bin_of(job.bin_key).volume_m3
    for stuff in problem.stuff:
        needed = room * stuff.need_m3_per_m3[job.week]
        if needed > 0.0:
            yield say("About {amount} of {stuff}.", amount=volume(needed), stuff=word(stuff.name))
    if gather_weeks:
        yield say(
            "Lay in greens with brown as they come, and cap them each time; it should be full by "
            "{day}.",
            day=word(dated(day + timedelta(weeks=gather_weeks), "d MMMM")),
        )
