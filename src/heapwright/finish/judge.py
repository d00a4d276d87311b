"""Judges one test of finished compost from its numbers: passed, not yet, failed, or cannot say.

Knows each test's published limit. Knows nothing of other tests of the same heap (`together.py`),
nor of reheating (`reheating.py`). What was not done long enough, or not told, never counts in
favour.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from heapwright.errors import OutOfRange
from heapwright.finish.guides import limits
from heapwright.finish.types import Judged, Procedure, Verdict
from heapwright.sentences import Measure, Sentence, Value, days, say, share, temperature_step
from heapwright.tables import Estimate
from heapwright.wording import worded

Numbers = Mapping[str, Any]

#: What a smell after days without air means; any other smell is refused.
SMELLS: Mapping[str, Verdict] = {
    "earthy": Verdict.PASSED,
    "sour": Verdict.NOT_YET,
    "rotten egg": Verdict.FAILED,
    "ammonia": Verdict.FAILED,
}
#: The numbers of a germination index, in the order of its formula.
_GERMINATION = (
    *("sown", "sprouted", "root_m"),
    *("control_sown", "control_sprouted", "control_root_m"),
)
ONE_SPECIES = say(
    "One kind of seed misses differences that another shows: cress misses some that lettuce finds."
)


def judge(procedure: Procedure, numbers: Numbers) -> Judged:
    """Judge a test by the numbers of its journal entry.

    Parameters
    ----------
    procedure : Procedure
        Any but `reheating`.
    numbers : mapping
        The entry's fields, SI units.

    """
    return _JUDGES[procedure](numbers)


def germination_index(
    sown: float,
    sprouted: float,
    root_m: float,
    control_sown: float,
    control_sprouted: float,
    control_root_m: float,
) -> float:
    """Germination index of an extract against distilled water.

    GI = (G / G0) × (L / L0) × 100 % [1]_, G the seeds that germinated and L their mean root
    length, 0 the water control; with unequal numbers of seeds G is taken as a share of those sown.
    Returned as a share: 1 is 100 %. It may exceed 1 and is not capped.

    Parameters
    ----------
    sown, sprouted : float
        Seeds in the extract.
    root_m : float
        Mean root length in the extract. [m]
    control_sown, control_sprouted, control_root_m : float
        The same in water.

    Raises
    ------
    OutOfRange
        When nothing grew in the water: there is nothing to compare with.

    References
    ----------
    .. [1] Form read in a lettuce bioassay of composted willow sawdust (abstract), after
       F. Zucconi and others, 1981 (from memory).

    """
    if min(sown, control_sown, control_sprouted, control_root_m) <= 0:
        raise OutOfRange(
            worded(
                "{control_sprouted:g} of {control_sown:g} seeds grew in plain water",
                control_sprouted=control_sprouted,
                control_sown=control_sown,
            ),
            why="there is nothing to compare with",
            instead="Do it again with fresh seed",
        )
    germinated = (sprouted / sown) / (control_sprouted / control_sown)
    return germinated * (root_m / control_root_m)


def judge_germination(numbers: Numbers) -> Judged:
    """Judge a germination index: toxic below 50 % (seen), free of harm from 80 % (from memory)."""
    table = limits()
    if numbers["control_sprouted"] < table["radish_pass_share"].typical * numbers["control_sown"]:
        return _judged(
            Procedure.GERMINATION,
            Verdict.CANNOT_SAY,
            say(
                "Only {up} of {sown} seeds sprouted in plain water: the seed itself is poor.",
                up=_count(numbers["control_sprouted"]),
                sown=_count(numbers["control_sown"]),
            ),
        )
    index = germination_index(*(float(numbers[name]) for name in _GERMINATION))
    toxic, free = table["germination_toxic"].typical, table["germination_free"]
    told = {"index": share(index), "toxic": share(toxic), "free": share(free.typical)}
    notes = (ONE_SPECIES, *_few_seeds(numbers["sown"]))
    if index < toxic:
        reason = say("Index {index}: below {toxic} a compost is toxic to seedlings.", **told)
        return _judged(Procedure.GERMINATION, Verdict.FAILED, reason, notes)
    if index < free.typical:
        reason = say(
            "Index {index}: above {toxic}, the limit of toxicity, but not yet {free}, from which "
            "harm is said to be gone (from memory; {lower} is in use too).",
            lower=share(free.low),
            **told,
        )
        return _judged(Procedure.GERMINATION, Verdict.NOT_YET, reason, notes)
    reason = say("Index {index}: harm is said to be gone from {free} (from memory).", **told)
    return _judged(Procedure.GERMINATION, Verdict.PASSED, reason, notes)


def judge_radish_pot(numbers: Numbers) -> Judged:
    """Judge radish seeds sown in the compost: three in four must come up and grow (UF/IFAS)."""
    wanted = limits()["radish_pass_share"].typical
    up, sown = numbers["up"], numbers["sown"]
    clean, clean_sown = numbers.get("control_up"), numbers.get("control_sown")
    told = {"up": _count(up), "sown": _count(sown), "wanted": share(wanted)}
    if up >= wanted * sown:
        reason = say("{up} of {sown} came up and grow; {wanted} is enough.", **told)
        return _judged(Procedure.RADISH_POT, Verdict.PASSED, reason, _few_seeds(sown))
    if clean is not None and clean_sown is not None and clean < wanted * clean_sown:
        reason = say(
            "{up} of {sown} came up, but in clean mix only {clean} of {clean_sown}: the seed or "
            "the place is poor.",
            clean=_count(clean),
            clean_sown=_count(clean_sown),
            **told,
        )
        return _judged(Procedure.RADISH_POT, Verdict.CANNOT_SAY, reason)
    reason = say("Only {up} of {sown} came up and grow; it takes {wanted}.", **told)
    return _judged(Procedure.RADISH_POT, Verdict.NOT_YET, reason, _few_seeds(sown))


def judge_bag(numbers: Numbers) -> Judged:
    """Judge the smell of a handful sealed in a bag for 5 to 7 days (Chester County)."""
    return _smell(Procedure.BAG, numbers, limits()["bag_days"])


def judge_jar(numbers: Numbers) -> Judged:
    """Judge the smell of a soggy sample closed in a jar for a week (leaflet after Texas, 1998)."""
    return _smell(Procedure.JAR, numbers, limits()["jar_days"])


def _smell(procedure: Procedure, numbers: Numbers, wanted: Estimate) -> Judged:
    verdict = SMELLS[numbers["smell"]]
    told = {
        "smell": Value(numbers["smell"], Measure.WORD),
        "done": days(numbers["days"]),
        "wanted": days(wanted.low),
    }
    if verdict is not Verdict.PASSED:
        reason = say(
            "It smelt {smell} after {done} without air: it still works and wants air and time.",
            **told,
        )
        return _judged(procedure, verdict, reason)
    if numbers["days"] < wanted.low:
        reason = say("Opened after {done}: too early, it takes {wanted}.", **told)
        return _judged(procedure, Verdict.CANNOT_SAY, reason)
    return _judged(procedure, verdict, say("It smelt of earth after {done} without air.", **told))


def judge_self_heating(numbers: Numbers) -> Judged:
    """Judge the rise above the air in an insulated flask, by classes that are from memory."""
    table = limits()
    rise = float(numbers["highest_c"]) - float(numbers["air_c"])
    told = {
        "rise": temperature_step(rise),
        "limit": temperature_step(table["flask_finished_c"].typical),
    }
    names = (
        ("flask_finished_c", Verdict.PASSED, "finished (class V)"),
        ("flask_curing_c", Verdict.NOT_YET, "finished but still curing (class IV)"),
        ("flask_active_c", Verdict.NOT_YET, "active (class III)"),
        ("flask_fresh_c", Verdict.NOT_YET, "fresh and active (class II)"),
    )
    verdict, name = next(
        ((verdict, name) for limit, verdict, name in names if rise <= table[limit].typical),
        (Verdict.FAILED, "raw (class I)"),
    )
    reason = say(
        "It rose {rise} above the air: {name}. The classes are from memory (finished: up to "
        "{limit}), so take them as a hint.",
        name=Value(name, Measure.WORD),
        **told,
    )
    return _judged(Procedure.SELF_HEATING, verdict, reason)


def judge_look(numbers: Numbers) -> Judged:
    """Judge by eye: dark, crumbly, no food to be made out, about a third left (Chester County)."""
    most = limits()["finished_share_of_volume"].high
    left = numbers.get("left_share")
    lacks = [
        say(words)
        for lacking, words in (
            (not numbers["dark"], "not dark"),
            (not numbers["crumbly"], "not crumbly"),
            (numbers["food_seen"], "food can still be made out"),
        )
        if lacking
    ]
    if left is not None and left > most:
        lacks.append(say("more than half of its first volume is left"))
    if lacks:
        text = ", ".join(one.template for one in lacks)
        reason = say("Not yet: {lacks}.", lacks=Value(text, Measure.WORD))
        return _judged(Procedure.LOOK, Verdict.NOT_YET, reason)
    if left is None:
        reason = say("Dark, crumbly and without food; how much of it is left was not told.")
        return _judged(Procedure.LOOK, Verdict.CANNOT_SAY, reason)
    reason = say("Dark, crumbly, no food to be made out, {left} of it left.", left=share(left))
    return _judged(Procedure.LOOK, Verdict.PASSED, reason)


def judge_bioassay(numbers: Numbers) -> Judged:
    """Judge peas or beans beside clean pots: cupped or curled new leaves fail (WSU Whatcom)."""
    table = limits()
    pots, hurt = numbers["pots"], numbers["pots_hurt"]
    controls, controls_hurt = numbers["control_pots"], numbers["control_pots_hurt"]
    told = {"hurt": _count(hurt), "pots": _count(pots), "controls": _count(controls)}
    if controls_hurt > 0:
        reason = say(
            "Leaves were cupped or curled in the clean pots too: something else is wrong there."
        )
        return _judged(Procedure.BIOASSAY, Verdict.CANNOT_SAY, reason)
    if hurt > 0:
        reason = say(
            "Cupped or curled leaves in {hurt} of {pots} pots and in none of the clean ones: not "
            "on or beside peas, beans, tomatoes and other broadleaf plants.",
            **told,
        )
        return _judged(Procedure.BIOASSAY, Verdict.FAILED, reason)
    least, wait = table["bioassay_pots"].typical, table["bioassay_days"].low
    if min(pots, controls) < least or numbers["days"] < wait:
        reason = say(
            "No harm to be seen, but it takes {least} pots of each kind and {wait}.",
            least=_count(least),
            wait=days(wait),
        )
        return _judged(Procedure.BIOASSAY, Verdict.CANNOT_SAY, reason)
    reason = say("The leaves in {pots} pots look like those in {controls} clean ones.", **told)
    return _judged(Procedure.BIOASSAY, Verdict.PASSED, reason)


def _few_seeds(sown: float) -> tuple[Sentence, ...]:
    enough = limits()["few_seeds"].typical
    if sown >= enough:
        return ()
    return (say("With {sown} seeds chance decides much; sow more.", sown=_count(sown)),)


def _count(number: float) -> Value:
    return Value(number, Measure.COUNT)


def _judged(
    procedure: Procedure, verdict: Verdict, reason: Sentence, notes: tuple[Sentence, ...] = ()
) -> Judged:
    return Judged(procedure, verdict, reason, notes)


_JUDGES: Mapping[Procedure, Callable[[Numbers], Judged]] = {
    Procedure.BAG: judge_bag,
    Procedure.LOOK: judge_look,
    Procedure.RADISH_POT: judge_radish_pot,
    Procedure.JAR: judge_jar,
    Procedure.GERMINATION: judge_germination,
    Procedure.SELF_HEATING: judge_self_heating,
    Procedure.BIOASSAY: judge_bioassay,
}
