"""Answers how long the stages of this garden's heaps take, by the week they are built in.

Knows how climate, bin, usual heap, wishes and what earlier heaps taught come together for
`season.stage_run`, and what a kept answer depends on.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

import heapwright
from heapwright.errors import NotFound
from heapwright.finish.guides import limits as finish_limits
from heapwright.finish.guides import risks_of
from heapwright.finish.together import cure_days
from heapwright.journal.entries import BatchState, BinState
from heapwright.mixing.targets import target
from heapwright.season.stage_types import StageLengths, every_week, from_day
from heapwright.sentences import Sentence
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.workshop import stage_lengths_kept
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import as_found, bin_shape, that_can_be
from heapwright.workshop.lessons import Taught, taught_before, teaching
from heapwright.workshop.stage_lengths_words import length_words, taught_words
from heapwright.workshop.usual_heap import UsualHeap, usual_heap
from heapwright.workshop.weather import rainfall_kind, usual_year

#: Another way of reckoning is another number; what an older one kept is then passed over.
_FORM = 1
_SEED = 1974
#: Names the heaps that are not built yet among what lessons are kept for.
_TO_COME = "heaps to come"
#: A year without a 29 February; which one does not matter, the usual year is laid on it.
A_YEAR = datetime(2023, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class StageAnswer:
    """How long the stages take in this garden.

    Attributes
    ----------
    lengths : StageLengths
        Of each week from `first_day` on.
    first_day : date
        Monday of the running week.
    bin_key, bin_name : str
        The bin that was taken for all.
    heats_share : float
        Share of the heaps over the year whose core gets hot. [0-1]
    notes : tuple of Sentence
        What it rests on, and what is wrong with the bin where it is too small to heat.

    """

    lengths: StageLengths
    first_day: date
    bin_key: str
    bin_name: str
    heats_share: float
    notes: tuple[Sentence, ...]


def stage_lengths(
    garden: Garden, *, bin_key: str | None = None, shredding: bool | None = None
) -> StageAnswer:
    """Return how long a well-kept heap's stages take, by the week it is built in.

    Parameters
    ----------
    garden : Garden
    bin_key : str, optional
        The first bin of the row if not given.
    shredding : bool, optional
        Whether leaves are shredded; as this person wishes if not given.

    Raises
    ------
    NotFound
        If there is no bin yet, or none of that key.
    HeapwrightError
        If the usual heap cannot be, or the weather is no whole year.

    """
    state = garden.state()
    bin_state = _first_bin(garden) if bin_key is None else garden.bin(bin_key)
    shreds = state.year.wishes.shredding if shredding is None else shredding
    usual = _usual(garden, bin_state, shreds)
    year = usual_year(garden)
    first_day = running_week(garden)
    to_come = _to_come(garden, first_day)
    mark = _mark(garden, bin_state, usual, year, to_come)

    def worked_out() -> tuple[StageLengths, Taught | None]:
        taught = taught_before(garden, to_come)
        return _kept_or_run(garden, bin_state, usual, mark, taught), taught

    run, taught = garden.remembered(("stages", mark), worked_out)
    hot_c = finish_limits()["reheated_c"].typical
    heats = float(np.mean(run.hottest_c >= hot_c))
    return StageAnswer(
        lengths=from_day(run, first_day),
        first_day=first_day,
        bin_key=bin_state.key,
        bin_name=bin_state.name,
        heats_share=heats,
        notes=(*usual.notes, *taught_words(taught), *length_words(run, bin_state, heats, year)),
    )


def running_week(garden: Garden) -> date:
    """Return Monday of the running week by the garden's own calendar."""
    today = garden.now().astimezone(ZoneInfo(garden.state().settings.time_zone)).date()
    return today - timedelta(days=today.weekday())


def _to_come(garden: Garden, first_day: date) -> BatchState:
    """Return a heap built as the running week begins, to ask what earlier ones teach about it.

    By the week and not by the hour, so that a new reading does not turn the whole year.
    """
    zone = ZoneInfo(garden.state().settings.time_zone)
    built_at = datetime.combine(first_day, time.min, zone)
    return BatchState(
        key=_TO_COME, name="", bin_key=None, stage="hot", built_at=built_at, entries=()
    )


def _first_bin(garden: Garden) -> BinState:
    bins = garden.state().bins_in_use
    if not bins:
        raise NotFound("There is no bin yet", instead="Set up your bins first")
    return next(iter(bins.values()))


def _usual(garden: Garden, bin_state: BinState, shredding: bool) -> UsualHeap:
    from heapwright.season.stage_run import settings

    return usual_heap(
        garden,
        bin_state,
        round(settings()["members"]),
        moisture=_moisture(garden),
        shredding=shredding,
    )


def _moisture(garden: Garden) -> float:
    return target(f"wish_moisture_{rainfall_kind(garden)}").typical


def _kept_or_run(
    garden: Garden, bin_state: BinState, usual: UsualHeap, mark: str, taught: Taught | None
) -> StageLengths:
    run = stage_lengths_kept.read(garden.path, mark)
    if run is None:
        run = _run(garden, bin_state, usual, taught)
        stage_lengths_kept.write(garden.path, mark, run)
    return every_week(run)


def _run(
    garden: Garden, bin_state: BinState, usual: UsualHeap, taught: Taught | None
) -> StageLengths:
    from heapwright.fitting.lesson import taught as deviations_taught
    from heapwright.heap.parameters import parameters_at, sample_deviations
    from heapwright.season.stage_run import HeapsBuilt, run_stages, weather_days

    members = len(usual.fills)
    deviations = sample_deviations(members, np.random.default_rng(_SEED))
    deviations[0] = 0.0  # as the first fill, the likely one
    fills, lesson = usual.fills, None if taught is None else taught.lesson
    if lesson is not None:
        fills = that_can_be(tuple(as_found(fill, lesson.fill_log) for fill in fills))
    heaps = HeapsBuilt(
        shape=bin_shape(bin_state),
        fills=fills,
        parameters=parameters_at(deviations_taught(deviations, lesson)),
        build_water_kg=usual.build_water_kg,
        cure=cure_days(risks_of(usual.materials)),
        target_moisture=_moisture(garden),
    )
    ahead = on_dates(usual_year(garden), A_YEAR, A_YEAR + timedelta(days=weather_days() + 1))
    return run_stages(heaps, ahead)


def _mark(
    garden: Garden,
    bin_state: BinState,
    usual: UsualHeap,
    year: WeatherSeries,
    to_come: BatchState,
) -> str:
    """Return a mark of everything that the lengths depend on."""
    from heapwright.heap.parameters import parameter_estimates
    from heapwright.season.stage_run import settings

    told = (
        _FORM,
        heapwright.__version__,
        bin_shape(bin_state),
        usual.fills,
        usual.build_water_kg,
        sorted(usual.materials),
        _moisture(garden),
        sorted(settings().items()),
        sorted(parameter_estimates().items()),
        sorted(finish_limits().items()),
        teaching(garden, to_come),
    )
    mark = zlib.crc32(repr(told).encode())
    for values in (
        year.temperature_c,
        year.relative_humidity,
        year.wind_m_s,
        year.rain_mm,
        year.sun_w_m2,
    ):
        mark = zlib.crc32(np.ascontiguousarray(values).tobytes(), mark)
    return f"{mark:08x}"
