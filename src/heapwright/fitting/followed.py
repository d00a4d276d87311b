"""An ensemble that has followed its heap: its state, its numbers, and what it met on the way.

Knows which values of a member may be drawn along with an observation and how they are put back.
Decides nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from heapwright.fitting.observations import Seen
from heapwright.heap import layout
from heapwright.heap.amend import BOOKED_WITH, Amendment, amended
from heapwright.heap.parameters import (
    DEVIATIONS_MOST,
    PARAMETER_IDS,
    parameters_at,
    uncertain_parameters,
)
from heapwright.heap.resume import Standing
from heapwright.heap.types import EnsembleRun, FloatArray, IntArray

#: Places of the numbers that observations may change.
ADJUSTED = tuple(
    PARAMETER_IDS.index(name) for name in uncertain_parameters() if name not in BOOKED_WITH
)
#: How many logarithms `amend` takes: fast, medium, nitrogen, volume, degradable built in.
LOGS = 5
#: Corrections of water in the first hours speak of what was put in, later ones of drying.
_HOURS_OF_FILL = 72


@dataclass(frozen=True, slots=True)
class Judged:
    """An observation as the ensemble met it.

    Attributes
    ----------
    seen : Seen
    predicted, spread : float
        Mean and standard deviation of the members before it was taken in.
    surprise : float
        In standard deviations, signed.
    at_edge : float or None
        What the thermometer would read near the wall, on the mean of the members; only of a
        doubtful reading. [°C]
    is_doubtful : bool
        Whether it surprises more than the table allows and no other reading near in time says
        about the same; it was then left out.

    """

    seen: Seen
    predicted: float
    spread: float
    surprise: float
    at_edge: float | None
    is_doubtful: bool


@dataclass(frozen=True, slots=True)
class Followed:
    """An ensemble that has followed its heap up to an hour.

    Attributes
    ----------
    standing : Standing
    deviations : array, shape (members, numbers)
        Where the numbers stand in their ranges, see `heap.parameters.parameters_at`.
    origin : array of int, shape (members,)
        Which of the heaps built each member was; one may be met more than once.
    pools_log : array, shape (members, 3)
        Natural logarithm of how much more fast pool, medium pool and water turned out to have
        been put in.
    runs : tuple of EnsembleRun
        Stretches from the building to the standing's hour, each starting at the hour the one
        before ended and telling its hours before later observations were known.
    judged : tuple of Judged

    """

    standing: Standing
    deviations: FloatArray
    origin: IntArray
    pools_log: FloatArray
    runs: tuple[EnsembleRun, ...]
    judged: tuple[Judged, ...]

    @property
    def run(self) -> EnsembleRun:
        """The stretches as one run."""
        return joined(self.runs)

    def after(self, run: EnsembleRun, standing: Standing) -> Followed:
        """Return the ensemble one stretch later."""
        return replace(self, standing=standing, runs=(*self.runs, run))


def values_of(
    followed: Followed, deviations: FloatArray, warmth_k: FloatArray
) -> tuple[FloatArray, dict[str, slice]]:
    """Return all that may be drawn along with an observation, and where each kind stands.

    Parameters
    ----------
    followed : Followed
    deviations : array, shape (members, numbers)
        Where the numbers stand by now.
    warmth_k : array, shape (members,)
        By how much the cells are warmer by now. [K]

    """
    state = followed.standing.state
    cells = state.cells
    members = state.members

    def total(field: int) -> FloatArray:
        return np.asarray(np.log(np.maximum(cells[:, field].sum(axis=(1, 2)), 1e-12)))

    pieces = {
        "temperature": cells[:, layout.TEMPERATURE].reshape(members, -1) + warmth_k[:, None],
        "water": np.log(cells[:, layout.WATER] + 1e-9).reshape(members, -1),
        "logs": np.stack(
            [
                total(layout.FAST),
                total(layout.MEDIUM),
                total(layout.NITROGEN),
                np.log(state.sites["volume_per_dry"]),
                np.log(np.maximum(state.books["degradable_in_kg"], 1e-12)),
            ],
            axis=1,
        ),
        "activity": cells[:, layout.BUILD_UP].mean(axis=(1, 2))[:, None],
        "numbers": deviations[:, ADJUSTED],
    }
    parts, place = {}, 0
    for name, piece in pieces.items():
        parts[name] = slice(place, place + piece.shape[1])
        place += piece.shape[1]
    return np.concatenate(list(pieces.values()), axis=1), parts


def amend(
    followed: Followed,
    deviations: FloatArray,
    temperature_k: FloatArray,
    water_log: FloatArray,
    logs: FloatArray,
    activity: FloatArray,
) -> Followed:
    """Return the ensemble with new numbers and an amendment of its state.

    Parameters
    ----------
    followed : Followed
    deviations : array, shape (members, numbers)
        The new ones; brought back into the range that numbers are drawn from.
    temperature_k, water_log, activity
        As `heap.amend.Amendment`.
    logs : array, shape (members, 5)
        Logarithms of factors: fast and medium pool, nitrogen, volume, degradable matter built in.

    """
    deviations = np.clip(deviations, -DEVIATIONS_MOST, DEVIATIONS_MOST)
    standing = amended(
        followed.standing,
        Amendment(
            temperature_k=temperature_k,
            water_log=water_log,
            fast_log=logs[:, 0],
            medium_log=logs[:, 1],
            nitrogen_log=logs[:, 2],
            volume_log=logs[:, 3],
            built_in_log=logs[:, 4],
            activity=activity,
            parameters=parameters_at(deviations),
        ),
    )
    pools = followed.pools_log.copy()
    pools[:, :2] += logs[:, :2]
    if standing.hour <= _HOURS_OF_FILL:
        pools[:, 2] += water_log.mean(axis=(1, 2))
    return replace(followed, standing=standing, deviations=deviations, pools_log=pools)


def joined(runs: Sequence[EnsembleRun]) -> EnsembleRun:
    """Return stretches as one run; an hour that two share is told by the later one."""
    hourly = {
        field.name: np.concatenate(
            [getattr(run, field.name)[:-1] for run in runs[:-1]] + [getattr(runs[-1], field.name)]
        )
        for field in fields(EnsembleRun)
        if field.name not in ("start", "hot_share")
    }
    return EnsembleRun(start=runs[0].start, hot_share=runs[-1].hot_share, **hourly)
