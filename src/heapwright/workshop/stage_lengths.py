"""Answers how long the stages of this garden's heaps take, by the week they are built in.

Knows how climate, bin, usual heap and wishes come together for `season.stage_run`, and where what
was worked out is kept beside the journal. What is kept is no truth: throw the file away and it is
worked out anew.
"""

from __future__ import annotations

import json
import os
import zlib
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

import heapwright
from heapwright.errors import NotFound
from heapwright.finish.guides import limits as finish_limits
from heapwright.finish.guides import risks_of
from heapwright.finish.together import cure_days
from heapwright.journal.entries import BinState
from heapwright.mixing.targets import target
from heapwright.season.stage_types import StageLengths, every_week, from_day
from heapwright.sentences import Measure, Sentence, Value, days, say, span, temperature, word
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import bin_shape
from heapwright.workshop.usual_heap import UsualHeap, usual_heap
from heapwright.workshop.weather import rainfall_kind, usual_year

SUFFIX = ".stages.json"
#: Another way of reckoning is another number; what an older one kept is then passed over.
_FORM = 1
#: So many answers are kept; the oldest are dropped.
_MOST_KEPT = 8
_SEED = 1974
#: A year without a 29 February; which one does not matter, the usual year is laid on it.
A_YEAR = datetime(2023, 1, 1, tzinfo=UTC)
_DEGREES = ("days", "volume_share", "water_kg", "stirs", "hottest_c")


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
    mark = _mark(garden, bin_state, usual, year)
    run = garden.remembered(("stages", mark), lambda: _kept_or_run(garden, bin_state, usual, mark))
    first_day = running_week(garden)
    hot_c = finish_limits()["reheated_c"].typical
    heats = float(np.mean(run.hottest_c >= hot_c))
    return StageAnswer(
        lengths=from_day(run, first_day),
        first_day=first_day,
        bin_key=bin_state.key,
        bin_name=bin_state.name,
        heats_share=heats,
        notes=(*usual.notes, *_notes(run, bin_state, heats, year)),
    )


def running_week(garden: Garden) -> date:
    """Return Monday of the running week by the garden's own calendar."""
    today = garden.now().astimezone(ZoneInfo(garden.state().settings.time_zone)).date()
    return today - timedelta(days=today.weekday())


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


def _kept_or_run(garden: Garden, bin_state: BinState, usual: UsualHeap, mark: str) -> StageLengths:
    kept = _read(garden.path).get(mark)
    run = None if kept is None else _lengths(kept)
    if run is None:
        run = _run(garden, bin_state, usual)
        _keep(garden.path, mark, run)
    return every_week(run)


def _run(garden: Garden, bin_state: BinState, usual: UsualHeap) -> StageLengths:
    from heapwright.heap.parameters import parameters_at, sample_deviations
    from heapwright.season.stage_run import HeapsBuilt, run_stages, weather_days

    members = len(usual.fills)
    deviations = sample_deviations(members, np.random.default_rng(_SEED))
    deviations[0] = 0.0  # as the first fill, the likely one
    heaps = HeapsBuilt(
        shape=bin_shape(bin_state),
        fills=usual.fills,
        parameters=parameters_at(deviations),
        build_water_kg=usual.build_water_kg,
        cure=cure_days(risks_of(usual.materials)),
        target_moisture=_moisture(garden),
    )
    ahead = on_dates(usual_year(garden), A_YEAR, A_YEAR + timedelta(days=weather_days() + 1))
    return run_stages(heaps, ahead)


def _mark(garden: Garden, bin_state: BinState, usual: UsualHeap, year: WeatherSeries) -> str:
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


def _read(path: Path) -> dict[str, dict[str, object]]:
    try:
        kept = json.loads(path.with_suffix(SUFFIX).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return kept if isinstance(kept, dict) else {}


def _lengths(kept: dict[str, object]) -> StageLengths | None:
    """Return the lengths that were kept; None when they are not what they should be."""
    try:
        arrays = {name: np.array(kept[name], dtype=np.float64) for name in _DEGREES}
        weeks = np.array(kept["weeks"], dtype=np.int64)
        built_m3 = float(str(kept["built_m3"]))
    except (KeyError, TypeError, ValueError):
        return None
    members = arrays["hottest_c"].shape[-1] if arrays["hottest_c"].ndim == 2 else 0
    firsts = {"days": 3, "volume_share": 4, "water_kg": 3, "stirs": 3}
    fits = all(arrays[name].shape == (n, weeks.size, members) for name, n in firsts.items())
    if not fits or not members or arrays["hottest_c"].shape[0] != weeks.size:
        return None
    return StageLengths(weeks=weeks, built_m3=built_m3, **arrays)


def _keep(path: Path, mark: str, run: StageLengths) -> None:
    """Keep the lengths beside the journal; where that cannot be written they are simply not."""
    kept = _read(path)
    kept[mark] = {name: getattr(run, name).tolist() for name in (*_DEGREES, "weeks")}
    kept[mark]["built_m3"] = run.built_m3
    kept = dict(list(kept.items())[-_MOST_KEPT:])
    new = path.with_suffix(SUFFIX).with_suffix(".new")
    try:
        new.write_text(json.dumps(kept), encoding="utf-8")
        os.replace(new, path.with_suffix(SUFFIX))
    except OSError:
        return


def _notes(
    run: StageLengths, bin_state: BinState, heats: float, year: WeatherSeries
) -> tuple[Sentence, ...]:
    notes = [
        say(
            "{heaps} runs of the model, built every {weeks} weeks of the year, in the weather of "
            "{weather}; real years differ more.",
            heaps=Value(run.members, Measure.COUNT),
            weeks=Value(_weeks_between(), Measure.COUNT),
            weather=word(year.source),
        ),
        _ready_words(run),
        _compost_words(run),
    ]
    return (*notes, *_cold_notes(run, bin_state, heats))


def _ready_words(run: StageLengths) -> Sentence:
    middles = np.median(run.total_days, axis=1)
    soonest, latest = float(middles.min()), float(middles.max())
    if not np.isfinite(soonest):
        return say("In no week of building is the middle of the runs ever ready.")
    if not np.isfinite(latest):
        return say(
            "From building until ready: {soonest} at the soonest (the middle of the runs); built "
            "in some weeks of the year the middle one is not ready within {longest}.",
            soonest=days(soonest),
            longest=days(_longest_days()),
        )
    return say(
        "From building until ready: {soonest} to {latest}, by the season (the middle of the runs).",
        soonest=Value(round(soonest), Measure.COUNT),
        latest=days(latest),
    )


def _compost_words(run: StageLengths) -> Sentence:
    left = finish_limits()["finished_share_of_volume"]
    shares = run.volume_share[3]
    there = shares[np.isfinite(shares)]
    if not there.size:
        return say("No run of the model gets ready.")
    low, high = np.quantile(there, [0.1, 0.9])
    return say(
        "Compost: {share} of the volume built. That range holds the model's mass at published "
        "densities and published shrinking, {published} left (Colorado State): they differ.",
        share=span(float(low), float(high), Measure.SHARE),
        published=span(left.low, left.high, Measure.SHARE),
    )


def _weeks_between() -> float:
    from heapwright.season.stage_run import settings

    return settings()["weeks_between"]


def _cold_notes(run: StageLengths, bin_state: BinState, heats: float) -> tuple[Sentence, ...]:
    """Return what must be said of heaps that do not heat or never get ready."""
    told: list[Sentence] = []
    hot_c = finish_limits()["reheated_c"].typical
    if heats < 0.5:
        told.append(
            say(
                "Most heaps in {bin} do not reach {hot}: it is too small or stands too cold to "
                "make hot compost. They rot all the same, but count on no heat against seeds and "
                "germs.",
                bin=word(bin_state.name),
                hot=temperature(hot_c),
            )
        )
    elif (cold := _cold_months(run, hot_c)) > 0:
        told.append(
            say(
                "Built in {weeks} weeks of the year most heaps do not reach {hot} at first.",
                weeks=Value(cold, Measure.COUNT),
                hot=temperature(hot_c),
            )
        )
    never = float(run.never_share.max())
    if never > 0.0:
        told.append(
            say(
                "In the slowest weeks {share} of the runs are not ready within {longest}.",
                share=Value(never, Measure.SHARE),
                longest=days(_longest_days()),
            )
        )
    return tuple(told)


def _cold_months(run: StageLengths, hot_c: float) -> int:
    return int(np.sum(np.mean(run.hottest_c >= hot_c, axis=1) < 0.5))


def _longest_days() -> float:
    from heapwright.season.stage_run import settings

    return settings()["longest_days"]
