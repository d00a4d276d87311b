"""Keeps the last year's plan beside the journal, so that the next one changes as little as can be.

What is kept is no truth: throw the file away and the year is planned anew. Knows the file; knows
nothing of how a plan is made.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from threading import get_ident
from typing import Any

from heapwright.season.rotation_plan import BedServed, PlannedBatch, Proof, RotationPlan, Stay
from heapwright.season.rotation_types import Stage, Yield

SUFFIX = ".year.json"
#: Another form of the file is another number; an older file is then passed over.
_FORM = 1
#: A plan that was not looked at for so long says little of the heaps that stand now. [d]
_OLD_DAYS = 21


@dataclass(frozen=True, slots=True)
class KeptJob:
    """What a calendar was last told of a job, and what is needed to tell it again.

    Attributes
    ----------
    day : date
    words : str
        In metric English, to see whether they have changed.
    revision : int
    kind : str
        The `JobKind` value.
    heap : str
        Name of a heap that stands, "" for one that is only planned.
    bin_key, to_bin_key : str
        "" where there is none.

    """

    day: date
    words: str
    revision: int
    kind: str = ""
    heap: str = ""
    bin_key: str = ""
    to_bin_key: str = ""


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """The last plan.

    Attributes
    ----------
    inputs : str
        Digest of what it was made from.
    first_day : date
    plan : RotationPlan
    planned_as : mapping batch key of the journal -> key in the plan
        Heaps that were planned once and stand now.
    jobs : mapping job id -> KeptJob
    number : int
        Number of the last heap that was planned; numbers are not used twice.

    """

    inputs: str
    first_day: date
    plan: RotationPlan
    planned_as: Mapping[str, str] = field(default_factory=dict)
    jobs: Mapping[str, KeptJob] = field(default_factory=dict)
    number: int = 0


def is_old(kept: KeptPlan, today: date) -> bool:
    """Return whether nobody looked at a plan for so long that it says little of now."""
    return (today - kept.first_day).days > _OLD_DAYS


def path_of(journal: Path) -> Path:
    """Return where the plan is kept."""
    return journal.with_name(journal.name + SUFFIX)


def read(journal: Path) -> KeptPlan | None:
    """Return the last plan; None when there is none or the file is spoilt."""
    try:
        found = json.loads(path_of(journal).read_text(encoding="utf-8"))
        return _read(found) if found["form"] == _FORM else None
    except (OSError, ValueError, KeyError, TypeError, AttributeError, IndexError):
        return None


def write(journal: Path, kept: KeptPlan) -> None:
    """Keep a plan; when the disk refuses, the next plan merely has nothing to hold on to."""
    path = path_of(journal)
    # Another name for each thread and program, so that none writes into what another moves.
    fresh = path.with_name(f"{path.name}.{os.getpid()}-{get_ident()}.new")
    try:
        fresh.write_text(json.dumps(_plain(kept), ensure_ascii=False), encoding="utf-8")
        fresh.replace(path)
    except OSError:
        fresh.unlink(missing_ok=True)


def _plain(kept: KeptPlan) -> dict[str, Any]:
    plan = kept.plan
    return {
        "form": _FORM,
        "inputs": kept.inputs,
        "first_day": kept.first_day.isoformat(),
        "plan": {
            "batches": [_plain_batch(one) for one in plan.batches],
            "beds": [
                [one.key, one.name, one.due_week, one.wished_m3, one.served_m3] for one in plan.beds
            ],
            "made_m3": plan.made_m3,
            "proof": plan.proof.value,
            "worth": plan.worth,
            "bound": None if plan.bound == float("inf") else plan.bound,
            "seconds": plan.seconds,
        },
        "planned_as": dict(kept.planned_as),
        "jobs": {
            key: [
                one.day.isoformat(),
                one.words,
                one.revision,
                one.kind,
                one.heap,
                one.bin_key,
                one.to_bin_key,
            ]
            for key, one in kept.jobs.items()
        },
        "number": kept.number,
    }


def _plain_batch(batch: PlannedBatch) -> dict[str, Any]:
    made = batch.yield_m3
    return {
        "key": batch.key,
        "name": str(batch.name),
        "stays": [
            [int(one.stage), one.bin_key, one.start_week, one.end_week] for one in batch.stays
        ],
        "is_standing": batch.is_standing,
        "yield_m3": [made.sure, made.likely, made.high],
    }


def _read(found: Mapping[str, Any]) -> KeptPlan:
    plan = found["plan"]
    return KeptPlan(
        inputs=str(found["inputs"]),
        first_day=date.fromisoformat(found["first_day"]),
        plan=RotationPlan(
            batches=tuple(_read_batch(one) for one in plan["batches"]),
            beds=tuple(
                BedServed(str(key), str(name), int(week), float(wished), float(served))
                for key, name, week, wished, served in plan["beds"]
            ),
            made_m3=float(plan["made_m3"]),
            proof=Proof(plan["proof"]),
            worth=float(plan["worth"]),
            bound=float("inf") if plan["bound"] is None else float(plan["bound"]),
            seconds=float(plan["seconds"]),
        ),
        planned_as={str(key): str(value) for key, value in found["planned_as"].items()},
        jobs={
            str(key): KeptJob(
                date.fromisoformat(day), str(words), int(revision), *(str(one) for one in rest)
            )
            for key, (day, words, revision, *rest) in found["jobs"].items()
        },
        number=int(found["number"]),
    )


def _read_batch(found: Mapping[str, Any]) -> PlannedBatch:
    return PlannedBatch(
        key=str(found["key"]),
        name=str(found["name"]),
        stays=tuple(
            Stay(Stage(stage), str(bin_key), int(start), None if end is None else int(end))
            for stage, bin_key, start, end in found["stays"]
        ),
        is_standing=bool(found["is_standing"]),
        yield_m3=Yield(*(float(one) for one in found["yield_m3"])),
    )
