"""Whether a heap heated again after its last turn: the end of the hot work, or why nobody can say.

Knows readings since the turn, the air and the water. Knows nothing of other tests. A heap that is
too dry or soaked stays cool too, so without its moisture nothing is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heapwright.finish.guides import limits
from heapwright.finish.types import Judged, Procedure, Verdict
from heapwright.sentences import (
    Sentence,
    Value,
    days,
    say,
    share,
    temperature,
    temperature_step,
    volume,
)

HOURS_A_DAY = 24.0
_DRY, _SOAKED = ("dusty", "dry"), ("dripping",)


@dataclass(frozen=True, slots=True)
class AfterTurn:
    """What is known since the last turn.

    Attributes
    ----------
    hours_since_turn : float or None
        None when it was never turned.
    readings : sequence of (hours after the turn, °C)
        Core readings after it.
    air_c : float or None
        Mean air since the turn, at most a week of it. [°C]
    squeeze : str
        The newest squeeze since the turn, "" without one.
    moisture : float or None
        By the model, when nobody squeezed. [0-1]
    volume_m3 : float
        As it stands; 0 when not known.

    """

    hours_since_turn: float | None
    readings: Sequence[tuple[float, float]]
    air_c: float | None
    squeeze: str
    moisture: float | None
    volume_m3: float


def judge_reheating(after: AfterTurn) -> Judged:
    """Judge whether a turned heap heated again.

    It is hot again from 43.3 °C (110 °F, NRCS Job Sheet 317); that a heap is finished which fails
    to reheat is common practice. "Near the air" is a rise of 10 °C (common practice).

    Parameters
    ----------
    after : AfterTurn

    Returns
    -------
    Judged
        Passed: read on the third to seventh day and near the air, damp enough. Not yet: hot or
        warm. Cannot say: everything else, with the reason.

    """
    since = after.hours_since_turn
    if since is None:
        return _cannot(say("It was not turned yet: turn it and see whether it heats again."))
    table = limits()
    hot = [one for one in after.readings if one[1] >= table["reheated_c"].typical]
    if hot:
        reason = say(
            "It heated again after the last turn, to {hottest}; hot last {ago} ago.",
            hottest=temperature(max(celsius for _, celsius in hot)),
            ago=_ago(max(0.0, since - max(hours for hours, _ in hot))),
        )
        return Judged(Procedure.REHEATING, Verdict.NOT_YET, reason)
    return _by_cool_readings(after, since)


def _by_cool_readings(after: AfterTurn, since: float) -> Judged:
    wait = limits()["reheat_wait_days"]
    in_time = [
        celsius for hours, celsius in after.readings if wait.low <= hours / HOURS_A_DAY <= wait.high
    ]
    window = {"first": days(wait.low), "last": days(wait.high)}
    if not in_time:
        if since / HOURS_A_DAY < wait.high:
            return _cannot(
                say(
                    "Turned {ago} ago: read it {first} to {last} after the turn.",
                    ago=_ago(since),
                    **window,
                )
            )
        return _cannot(
            say(
                "Nobody read it {first} to {last} after the last turn, so it may have been hot: "
                "turn it once more and read it.",
                **window,
            )
        )
    water = _water_problem(after)
    if water is not None:
        return _cannot(water)
    return _by_rise(after, max(in_time))


def _by_rise(after: AfterTurn, hottest: float) -> Judged:
    if after.air_c is None:
        return _cannot(say("How warm the air was is not known, so neither is how far it rose."))
    rise, near = hottest - after.air_c, limits()["near_air_c"].typical
    told = {
        "hottest": temperature(hottest),
        "rise": temperature_step(max(rise, 0.0)),
        "near": temperature_step(near),
    }
    if rise > near:
        reason = say("Still warm: {hottest}, {rise} above the air; near it is {near}.", **told)
        return Judged(Procedure.REHEATING, Verdict.NOT_YET, reason)
    reason = say("Turned and damp it stayed at {hottest}, {rise} above the air.", **told)
    return Judged(Procedure.REHEATING, Verdict.PASSED, reason, _small(after.volume_m3))


def _water_problem(after: AfterTurn) -> Sentence | None:
    """Return why a cool heap of this moisture says nothing; None when it is right."""
    table = limits()
    dry, soaked = table["damp_enough"].typical, table["not_soaked"].typical
    is_dry = say("It is too dry to heat, so that it is cool says nothing: wet it while you turn.")
    is_soaked = say(
        "It is soaked and short of air, so that it is cool says nothing: stir in brown."
    )
    if after.squeeze:
        if after.squeeze in _DRY:
            return is_dry
        return is_soaked if after.squeeze in _SOAKED else None
    if after.moisture is None:
        return say("How damp it is is not known: squeeze a handful and log it.")
    if after.moisture < dry:
        return is_dry
    if after.moisture > soaked:
        return say(
            "By the model it holds {moisture} water and is short of air; squeeze a handful.",
            moisture=share(after.moisture),
        )
    return None


def _small(volume_m3: float) -> tuple[Sentence, ...]:
    least = limits()["keeps_heat_m3"].typical
    if not 0 < volume_m3 < least:
        return ()
    return (
        say(
            "At {volume} it may be cool for its size alone: the flask or the bag tells more.",
            volume=volume(volume_m3),
        ),
    )


def _ago(hours: float) -> Value:
    return days(hours / HOURS_A_DAY)


def _cannot(reason: Sentence) -> Judged:
    return Judged(Procedure.REHEATING, Verdict.CANNOT_SAY, reason)
