"""What to take care of when compost is put on a bed: too much, salts, herbicide, manure, dust.

Knows when each caution applies and its words; where each comes from stands in data/cautions.csv.
Knows nothing of who asks. Local codes and a soil laboratory come before all of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.garden.beds import (
    is_much,
    is_thinly_dug,
    most_depth_m,
    soil_depth_m,
    soil_for_dilution_m,
    too_deep,
    wanted_layer,
    yearly_depth_m,
)
from heapwright.garden.beds_types import POTTING_MIX, Bed, Caution, Spread
from heapwright.garden.tables import PACKAGE, depths, nutrients
from heapwright.sentences import (
    Measure,
    Sentence,
    Value,
    days,
    inside,
    length,
    say,
    share,
    span,
    word,
)
from heapwright.tables import Evidence, read_rows
from heapwright.wording import dated, worded

MANURE = "manure"
_FROM_MANURE = (MANURE, "manure compost")
#: Extracts whose limits are known, with their row in data/nutrients.csv.
EXTRACTS = {"paste": "paste_ds_m", "1:1": "one_to_one_ds_m", "1:2": "one_to_two_ds_m"}
_OTHER_EXTRACTS = ("1:5", "unknown")


def cautions_of(bed: Bed, today: date, spreads: Sequence[Spread] = ()) -> tuple[Caution, ...]:
    """Return what to take care of at a bed, the gravest first.

    Parameters
    ----------
    bed : Bed
    today : date
    spreads : sequence of Spread
        All that was ever put on it.

    """
    found = [
        *_of_manure(bed, today, spreads),
        *_of_too_much(bed, today, spreads),
        *_of_depth(bed),
        *_of_phosphorus(bed),
        *_of_salts(bed),
        *_of_use(bed),
    ]
    return tuple(_caution(name, told) for name, told in found)


def spreading_cautions() -> tuple[Caution, ...]:
    """Return what to take care of whenever compost is spread."""
    return tuple(
        _caution(name, told)
        for name, told in (
            (
                "dust",
                say(
                    "Damp it first, stay upwind, wear a mask that fits: breathed dust and mist of "
                    "compost can make ill. With lung disease or weak immunity let somebody else "
                    "spread it."
                ),
            ),
            (
                "herbicide",
                say(
                    "Before tomatoes, beans, peas and other broadleaf plants: grow peas or beans "
                    "in it for two to three weeks beside pots without it. Cupped or curled leaves "
                    "mean weedkiller: do not use it there."
                ),
            ),
            (
                MANURE,
                say(
                    "Raw manure: {touching} to a harvest that touches the soil, {other} to any "
                    "other, and no sowing within 60 days of it. Composted manure counts as raw "
                    "unless its heat was proven.",
                    touching=days(nutrients()["manure_touching_days"].typical),
                    other=days(nutrients()["manure_other_days"].typical),
                ),
            ),
            (
                "wash",
                say(
                    "Gloves, washed hands, washed produce: home compost is never proven free of "
                    "germs."
                ),
            ),
        )
    )


def harvest_from(bed: Bed, spreads: Sequence[Spread]) -> date | None:
    """Return the first day of harvest after raw manure by 7 CFR 205.203; None without manure.

    120 days where a bed is said to bear what touches the soil or is eaten raw, 90 days otherwise.
    Nothing said is no proof of otherwise: the caution then names both.
    """
    row = "manure_touching_days" if bed.raw_harvest else "manure_other_days"
    return _after_manure(spreads, row)


def _after_manure(spreads: Sequence[Spread], row: str) -> date | None:
    raw = [one.on for one in spreads if one.what == MANURE]
    return max(raw) + timedelta(days=nutrients()[row].typical) if raw else None


def judge_salts(conductivity_ds_m: float, extract: str) -> Sentence:
    """Return what a laboratory's conductivity means in a growing medium.

    Different extracts of one compost give different numbers, so none is turned into another.

    Parameters
    ----------
    conductivity_ds_m : float
        1 dS/m is 1 mmho/cm. [dS/m]
    extract : str
        "paste", "1:1", "1:2", "1:5" or "unknown".

    Raises
    ------
    NotUnderstood, OutOfRange
        If the extract is not known, or the number cannot be.

    """
    if extract not in (*EXTRACTS, *_OTHER_EXTRACTS):
        raise NotUnderstood(
            worded('Extract "{extract}" is not known', extract=extract[:20]),
            instead="Choose one of: paste, 1:1, 1:2, 1:5, unknown",
        )
    if not 0.0 <= conductivity_ds_m <= 100.0:
        raise OutOfRange(
            worded("Conductivity {value:g} dS/m", value=conductivity_ds_m),
            why="no compost is so: it lies between 0 and 100",
            instead="Write it in dS/m or mmho/cm, which are the same",
        )
    measured = Value(conductivity_ds_m, Measure.COUNT)
    if extract not in EXTRACTS:
        return say(
            "{measured} dS/m cannot be judged: no limit is known for this extract, and numbers of "
            "other extracts must not be compared with it. Ask the laboratory.",
            measured=measured,
        )
    limit = nutrients()[EXTRACTS[extract]].typical
    values = {"measured": measured, "limit": Value(limit, Measure.COUNT)}
    if conductivity_ds_m < limit:
        return say(
            "{measured} dS/m is below the {limit} wanted in a growing medium by this extract.",
            **values,
        )
    return say(
        "{measured} dS/m is at or above the {limit} wanted in a growing medium by this extract: "
        "keep it from seedlings and pots; as a thin layer on a bed it may still do.",
        **values,
    )


def how_told(bed: Bed) -> Sentence:
    """Return how compost is put to this use."""
    soil = soil_depth_m(bed.use)
    if bed.use == POTTING_MIX:
        most = depths()["potting_mix_share"].high
        return say("Mix it in: at most {most} of the volume, screened.", most=share(most))
    if bed.use == "mulch":
        return say("Lay it on top; coarse pieces are fine.")
    if bed.use == "lawn":
        return say("Core the lawn first, then rake in a thin screened layer.")
    if soil is None:
        return say("Lay it on top.")
    return say("Work it into the top {soil}.", soil=span(soil.low, soil.high, Measure.LENGTH))


def _of_manure(bed: Bed, today: date, spreads: Sequence[Spread]) -> Iterator[tuple[str, Sentence]]:
    first = harvest_from(bed, spreads)
    touching = _after_manure(spreads, "manure_touching_days")
    if first is not None and touching is not None and touching > first and touching > today:
        yield (
            MANURE,
            say(
                "Raw manure lies here: no harvest before {day}, of what touches the soil or is "
                "eaten raw none before {later}, and no sowing within 60 days of it (7 CFR "
                "205.203; the longer wait counts).",
                day=word(dated(first, "EEE d MMMM y")),
                later=word(dated(touching, "EEE d MMMM y")),
            ),
        )
    elif first is not None and first > today:
        yield (
            MANURE,
            say(
                "Raw manure lies here: no harvest before {day}, and no sowing within 60 days of "
                "it (7 CFR 205.203; the longer wait counts).",
                day=word(dated(first, "EEE d MMMM y")),
            ),
        )
    recent = today - timedelta(days=365)
    if any(one.what in _FROM_MANURE and one.on > recent for one in spreads):
        yield (
            "manure-compost",
            say(
                "Composted manure counts as raw unless its heat was proven: then {touching} to a "
                "harvest that touches the soil, {other} to any other.",
                touching=days(nutrients()["manure_touching_days"].typical),
                other=days(nutrients()["manure_other_days"].typical),
            ),
        )
        yield (
            "weak-immunity",
            say("Small children, pregnant women, old or ill people: cook or peel what grows here."),
        )


def _of_too_much(
    bed: Bed, today: date, spreads: Sequence[Spread]
) -> Iterator[tuple[str, Sentence]]:
    yearly = yearly_depth_m(bed, today, spreads)
    if yearly is None or not is_much(bed, yearly):
        return
    yield (
        "too-much",
        say(
            "{depth} a year lay here over the last {years}: too much, in one year or by build-up, "
            "stunts plants and fouls water. Have the soil tested before you add more.",
            depth=length(yearly[0]),
            years=inside(_years(yearly[1])),
        ),
    )


def _years(years: float) -> Sentence:
    if years < 1.5:
        return say("year")
    return say("{years} years", years=Value(round(years), Measure.COUNT))


def _of_depth(bed: Bed) -> Iterator[tuple[str, Sentence]]:
    if bed.use == POTTING_MIX:
        return
    layer = wanted_layer(bed)
    if too_deep(bed) and bed.depth_m is not None:
        yield (
            "own-depth",
            say(
                "Your {own} is deeper than any published depth for this use: {most} at most.",
                own=length(bed.depth_m),
                most=length(most_depth_m(bed.use)),
            ),
        )
    soil = soil_depth_m(bed.use)
    if is_thinly_dug(bed) and soil is not None and layer.depth_m is not None:
        yield (
            "dilution",
            say(
                "One part compost to four parts soil would want {depth} dug {need} deep; digging "
                "to {soil} mixes it stronger.",
                depth=length(layer.depth_m.typical),
                need=length(soil_for_dilution_m(layer.depth_m.typical)),
                soil=length(soil.high),
            ),
        )


def _of_phosphorus(bed: Bed) -> Iterator[tuple[str, Sentence]]:
    if bed.phosphorus == "high":
        yield (
            "phosphorus-high",
            say(
                "Your soil has much phosphorus, and compost adds more: the thin end of the "
                "published depth is taken, or none until a soil test is lower."
            ),
        )
    elif bed.phosphorus == "unknown" and bed.every_year and bed.use != POTTING_MIX:
        yield (
            "phosphorus-unknown",
            say(
                "Phosphorus builds up where compost comes every year: test the soil about every "
                "{years} years.",
                years=Value(depths()["soil_test_years"].typical, Measure.COUNT),
            ),
        )


def _of_salts(bed: Bed) -> Iterator[tuple[str, Sentence]]:
    if bed.salt_sensitive or bed.use == POTTING_MIX:
        yield (
            "salts",
            say(
                "Seedlings and salt-sensitive plants: only mature compost with few salts. A "
                "laboratory's number counts only with its extract: below {paste} dS/m by "
                "saturated paste, {one} by 1:1, {two} by 1:2.",
                paste=Value(nutrients()["paste_ds_m"].typical, Measure.COUNT),
                one=Value(nutrients()["one_to_one_ds_m"].typical, Measure.COUNT),
                two=Value(nutrients()["one_to_two_ds_m"].typical, Measure.COUNT),
            ),
        )


def _of_use(bed: Bed) -> Iterator[tuple[str, Sentence]]:
    if bed.use == POTTING_MIX:
        yield ("potting", say("For pots only very mature, screened compost."))
    elif bed.use == "mulch":
        gap = depths()["trunk_gap_m"]
        yield (
            "mulch",
            say("Keep it {gap} off trunks and stems.", gap=span(gap.low, gap.high, Measure.LENGTH)),
        )
        yield (
            "trees",
            say("New trees: no compost in the planting hole, or the roots circle in it."),
        )
    elif bed.use in ("lawn", "new lawn"):
        yield ("lawn", say("For lawns only very mature compost, screened."))


def _caution(name: str, told: Sentence) -> Caution:
    row = _rows()[name]
    return Caution(name, told, row["source"], Evidence(row["evidence"]))


def _rows() -> dict[str, dict[str, str]]:
    return {row["id"]: dict(row) for row in read_rows(PACKAGE, "data/cautions.csv")}
