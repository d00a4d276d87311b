"""The words beside stage lengths: what they rest on, how long in all, what never gets ready.

Knows what is worth saying of the numbers. Runs no heap.
"""

from __future__ import annotations

import numpy as np

from heapwright.finish.guides import limits as finish_limits
from heapwright.journal.entries import BinState
from heapwright.mixing.words import joined
from heapwright.season.stage_types import StageLengths
from heapwright.sentences import Measure, Sentence, Value, days, say, span, temperature, word
from heapwright.weather.series import WeatherSeries
from heapwright.workshop.lessons import Taught


def taught_words(taught: Taught | None) -> tuple[Sentence, ...]:
    """Return what earlier heaps taught; nothing without any."""
    if taught is None:
        return ()
    return (
        say(
            "What {readings} readings of {heaps} taught of this place and hand is counted in.",
            readings=Value(taught.readings, Measure.COUNT),
            heaps=word(joined(taught.batches)),
        ),
    )


def length_words(
    run: StageLengths, bin_state: BinState, heats: float, year: WeatherSeries
) -> tuple[Sentence, ...]:
    """Return what is to be said of the lengths of a garden."""
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
