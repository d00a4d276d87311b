"""When a heap will have cured if it is kept damp and turned from today on, beside "at this pace".

Knows how the comparison's rates of a well-kept heap meet the thresholds of readiness. Judges no
test.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heapwright.finish.dates import DayRange, cured_in_days, day_range, spread_over
from heapwright.finish.guides import limits
from heapwright.finish.together import cure_days
from heapwright.sentences import Measure, Sentence, Value, days, say
from heapwright.workshop.model import HeapModel
from heapwright.workshop.ready_tests import Tested

FloatArray = NDArray[np.float64]


def kept_well(told: Tested, model: HeapModel, not_before: float) -> DayRange:
    """Return the days from now until the heap has cured when nothing holds its decay up.

    Its hot work goes at the rates that the comparison of what can be done takes for the days
    beyond its look ahead (`decisions.finish_time.well_kept_rates_per_day`) until `spent_share` of
    its degradable matter is left; then it cures.

    Parameters
    ----------
    told : Tested
    model : HeapModel
    not_before : float
        A test that says no counts until then. [d]

    """
    from heapwright.decisions.contents import contents
    from heapwright.decisions.finish_time import days_until_left, well_kept_rates_per_day

    standing = model.followed.standing
    here = contents(standing)
    air_c = float(np.mean(model.weather.temperature_c[model.now_index :]))
    fast_rate, medium_rate = well_kept_rates_per_day(standing, air_c)
    spent = spread_over(limits()["spent_share"], standing.members) * here.built_in_kg
    ends = days_until_left(here.fast_kg, here.medium_kg, spent, fast_rate, medium_rate)
    found = model.interval(cured_in_days(ends, cure_days(told.risks)))
    return day_range(found.low, found.likely, found.high, not_before=not_before)


def kept_well_words(well: DayRange, as_it_goes: DayRange) -> Sentence | None:
    """Return what keeping it well gains; None when it gains nothing worth telling."""
    gains = limits()["telling_gain_days"].typical
    if well.low is None or well.likely is None:
        return None
    if as_it_goes.likely is not None and as_it_goes.likely - well.likely < gains:
        return None
    if well.high is None:
        return say(
            "That is at this pace. Kept damp and turned as Today says: likely {likely}.",
            likely=days(well.likely),
        )
    return say(
        "That is at this pace. Kept damp and turned as Today says: {low} to {high}, likely "
        "{likely}.",
        low=Value(round(well.low), Measure.COUNT),
        high=days(well.high),
        likely=days(well.likely),
    )
