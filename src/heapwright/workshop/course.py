"""Answers how a heap looks cut open at moments from its building to the end of the forecast.

Knows which moments are worth a picture and what was done between them. The heap is the likeliest
member of the fitted ensemble, run once more in full. Knows nothing of drawing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from heapwright.heap.types import ActionKind, HeapAction
from heapwright.journal.entries import BatchState, BinState, Entry, EntryKind, GardenState
from heapwright.workshop.answers import CourseFrame, CrossSection, EventShown, HeapCourse, Phase
from heapwright.workshop.garden import Garden
from heapwright.workshop.hindsight import Hindsight, batch_hindsight
from heapwright.workshop.model import HOUR, HeapModel, model_key, try_heap_model
from heapwright.workshop.probe_series import for_story
from heapwright.workshop.story import story

if TYPE_CHECKING:
    from heapwright.heap.types import HeapRun

#: How many pictures there are at most, and how close together: every twelve hours for six days
#: after building and for three days ahead, wider between and beyond. Ours, for the eye.
MOST_FRAMES = 60
_STEP_HOURS, _EARLY_HOURS, _AHEAD_HOURS = 12, 144, 72
#: A moment on the even steps is left out when one that must be there follows within this time.
#: Looking ahead only keeps the gaps short: one left out on either side of a moment would add up.
_NEAR_HOURS = 3
#: Extra moments in which a turned heap is seen to come back.
_AFTER_TURN_HOURS = (12, 24, 48)
#: How many moments around turns and waterings there are at most; the latest stay.
_MOST_AROUND_WORK = 24
_TURNS_AND_ADDITIONS = (ActionKind.STIR, ActionKind.MOVE, ActionKind.ADD)
#: What changes the heap itself shows from the hour after it; all else belongs to its moment.
_CHANGES_HEAP = (EntryKind.TURN, EntryKind.ADD, EntryKind.WET, EntryKind.COVER)


def heap_course(garden: Garden, bin_key: str, days: float | None = None) -> HeapCourse | None:
    """Return what lies in a bin as pictures through time; None when it is not modelled.

    Parameters
    ----------
    garden : Garden
    bin_key : str
    days : float, optional
        How far to look ahead; the table's usual if not given.

    Raises
    ------
    NotFound
        If the bin is unknown.

    """
    batch = garden.batch_in(bin_key)
    model = None if batch is None else try_heap_model(garden, batch, days)[0]
    if batch is None or model is None:
        return None
    key = ("course", *model_key(garden, batch, days))
    hindsight = batch_hindsight(garden, batch, model)
    return garden.remembered(key, lambda: course_of(model, hindsight, batch, garden.state()))


def course_of(
    model: HeapModel, hindsight: Hindsight, batch: BatchState, state: GardenState
) -> HeapCourse:
    """Return the course of a heap whose ensemble has been run, by one run of its likeliest member.

    Parameters
    ----------
    model : HeapModel
    hindsight : Hindsight
        Says which member agrees best from the building on.
    batch : BatchState
        Whose entries are told at the pictures they belong to.
    state : GardenState
        Gives the bins the batch has stood in.

    """
    run = _likeliest_run(model, hindsight)
    start = model.history.start
    hours = frame_hours(run.hours, model.now_index, model.history.actions)
    bins = _bins_at(hours, batch, state, start)
    done = _done_before(hours, model.now_index, batch, start, state)
    tip_c = _tip_c(run, model.probe_depth_m)
    frames = tuple(
        CourseFrame(
            at=start + hour * HOUR,
            hours=hour,
            phase=_phase(hour, model.now_index),
            section=_section(run, hour, bins[i]),
            tip_c=float(tip_c[hour]),
            bin=bins[i],
            done=tuple(done[i]),
        )
        for i, hour in enumerate(hours)
    )
    return HeapCourse(
        frames=frames,
        now_index=hours.index(model.now_index),
        tip_depth_m=model.probe_depth_m,
        readings=len(model.history.readings) - len(model.doubtful),
    )


def frame_hours(last: int, now: int, actions: Sequence[HeapAction] = ()) -> tuple[int, ...]:
    """Return the hours after building that get a picture, in order, at most `MOST_FRAMES`.

    The first, the present and the last hour are among them, and the state before and after each
    turn, addition and watering unless there are very many.

    Parameters
    ----------
    last : int
        Length of the run. [h]
    now : int
        The present hour.
    actions : sequence of HeapAction

    """
    wanted = {0, now, last} | set(_around_work(last, actions))
    for step in (_STEP_HOURS, *range(2 * _STEP_HOURS, last + 3 * _STEP_HOURS, 2 * _STEP_HOURS)):
        even = {
            hour for hour in _even_hours(last, now, step) if not _followed_closely(hour, wanted)
        }
        if len(even | wanted) <= MOST_FRAMES:
            break
    return tuple(sorted(even | wanted))


def _around_work(last: int, actions: Sequence[HeapAction]) -> list[int]:
    """Return the hours just after and at each action, and how a turned heap comes back.

    The weightiest first, of equal ones the latest, and no more than are let in.
    """
    turns = [int(a.hour) for a in actions if a.kind in _TURNS_AND_ADDITIONS][::-1]
    waterings = [int(a.hour) for a in actions if a.kind is ActionKind.WET][::-1]
    hours = [hour + 1 for hour in (*turns, *waterings)]
    hours += [*turns, *waterings]
    hours += [hour + later for later in _AFTER_TURN_HOURS for hour in turns]
    return [hour for hour in dict.fromkeys(hours) if 0 < hour <= last][:_MOST_AROUND_WORK]


def _even_hours(last: int, now: int, step: int) -> set[int]:
    """Return the even steps: close after building and after now, `step` wide between and later."""
    later = max(step, 2 * _STEP_HOURS)
    return {
        *range(0, min(_EARLY_HOURS, now), _STEP_HOURS),
        *range(_EARLY_HOURS, now, step),
        *range(now, min(now + _AHEAD_HOURS, last), _STEP_HOURS),
        *range(now + _AHEAD_HOURS, last, later),
    }


def _followed_closely(hour: int, others: set[int]) -> bool:
    return any(0 <= other - hour < _NEAR_HOURS for other in others)


def _phase(hour: int, now: int) -> Phase:
    if hour == now:
        return Phase.NOW
    return Phase.PAST if hour < now else Phase.AHEAD


def _likeliest_run(model: HeapModel, hindsight: Hindsight) -> HeapRun:
    from heapwright.heap.parameters import Parameters
    from heapwright.heap.simulate import simulate

    member = hindsight.likeliest()
    return simulate(
        model.history.shape,
        hindsight.fills[member],
        model.weather,
        model.history.actions,
        parameters=Parameters.from_array(hindsight.parameters[member]),
    )


def _tip_c(run: HeapRun, depth_m: float) -> np.ndarray:
    from heapwright.heap.probe import probe_temperature

    return probe_temperature(run, depth_m)


def _section(run: HeapRun, hour: int, bin_state: BinState) -> CrossSection:
    """Return the heap cut open at an hour, its rings as wide as the bin it stood in then."""
    radius_m = math.sqrt(bin_state.width_m * bin_state.depth_m / math.pi)
    return CrossSection(
        temperature_c=run.temperature_c[hour],
        moisture=run.moisture[hour],
        radius_edges_m=radius_m * run.radius_edges_m / run.radius_edges_m[-1],
        height_edges_m=run.height_m[hour] * run.level_edges,
    )


def _bins_at(
    hours: Sequence[int], batch: BatchState, state: GardenState, start: datetime
) -> list[BinState]:
    """Return the bin the batch stood in at each hour."""
    moves = [(0, "bin", entry) for entry in batch.entries if entry.kind is EntryKind.BUILD]
    moves += [
        (_shows_from(entry, start), "to_bin", entry)
        for entry in batch.entries
        if entry.kind is EntryKind.TURN and entry.body.get("to_bin")
    ]
    return [
        state.bins[str([e.body[name] for since, name, e in moves if since <= hour][-1])]
        for hour in hours
    ]


def _done_before(
    hours: Sequence[int], now: int, batch: BatchState, start: datetime, state: GardenState
) -> list[list[EventShown]]:
    """Return what each picture shows as done and seen since the one before."""
    found: list[list[EventShown]] = [[] for _ in hours]
    for entry in for_story(batch):
        shows = _shows_from(entry, start)
        if entry.kind not in _CHANGES_HEAP:
            shows = min(shows, now)
        place = int(np.searchsorted(hours, shows))
        event = EventShown(entry.id, entry.at, str(entry.kind), story(entry, state.bins))
        found[min(place, len(hours) - 1)].append(event)
    return found


def _shows_from(entry: Entry, start: datetime) -> int:
    """Return the first hour whose state knows of the entry."""
    hours = max(0.0, (entry.at - start) / timedelta(hours=1))
    if entry.kind is EntryKind.BUILD:
        return 0
    return int(hours) + 1 if entry.kind in _CHANGES_HEAP else math.ceil(hours)
