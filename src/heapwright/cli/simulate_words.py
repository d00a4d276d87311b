"""Tells in words and a picture how a simulated heap goes, in the reader's units.

Knows the order of the story and how its figures are set on a terminal. Computes nothing but shares
of a whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heapwright import quantities as q
from heapwright.cli import chart, screen
from heapwright.heap.types import ActionKind, BinShape, HeapAction
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader, Sentence, render
from heapwright.validation.measures import HOT_C
from heapwright.wording import worded
from heapwright.workshop.simulation import ProbeCourse, Simulation, Totals

HOURS_A_DAY = 24.0
_SIGNS = {
    ActionKind.STIR: "T",
    ActionKind.MOVE: "M",
    ActionKind.WET: "W",
    ActionKind.ADD: "A",
    ActionKind.COVER: "C",
}
_SIGN_WORDS = {
    ActionKind.STIR: "turned in place",
    ActionKind.MOVE: "moved on",
    ActionKind.WET: "wetted",
    ActionKind.ADD: "added to",
    ActionKind.COVER: "covered",
}
_PROBE_LETTERS = "ox*#%"
_AIR, _EDGE = ".", "e"
_LEAST_KG = 0.001  # less is not worth a word


def lines(answer: Simulation, reader: Reader) -> Iterator[str]:
    """Yield the whole story of a simulated heap."""
    yield from _what_was_run(answer, reader.units)
    yield ""
    yield from chart.lines(_picture(answer), reader.units)
    yield from screen.paragraph(_key(answer))
    yield ""
    yield from screen.table(list(_figures(answer, reader.units)))
    yield ""
    yield from _rules(answer)
    for title, sentences in (
        ("Taken, because the file does not say:", answer.assumed),
        ("To know:", answer.notes),
        ("To mind:", answer.cautions),
    ):
        yield from _listed(title, sentences, reader)


def _listed(title: str, sentences: Sequence[Sentence], reader: Reader) -> Iterator[str]:
    if sentences:
        yield ""
        yield title
        yield from screen.bullets(render(sentence, reader) for sentence in sentences)


def _what_was_run(answer: Simulation, system: UnitSystem) -> Iterator[str]:
    fill = answer.fill
    yield from screen.paragraph(_bin_words(answer.bin, system))
    yield from screen.paragraph(
        worded(
            "Fill: {volume_m3}, {wet_mass_kg}, {moisture} water, C:N {c_to_n}.",
            volume_m3=q.format_volume(fill.volume_m3, system),
            wet_mass_kg=q.format_mass(fill.wet_mass_kg, system),
            moisture=q.format_share(fill.moisture),
            c_to_n=q.format_number(fill.c_to_n),
        )
    )
    air = answer.hourly.air_c
    low, high = (q.format_temperature(float(c), system) for c in (air.min(), air.max()))
    air_words = low if low == high else worded("{low} to {high}", low=low, high=high)
    days = answer.totals.run_h / HOURS_A_DAY
    when = (
        ""
        if answer.start is None
        else worded(", from {start:%Y-%m-%d %H:%M} UTC", start=answer.start)
    )
    yield from screen.paragraph(
        worded(
            "Weather: {weather_source}{when}; {days:g} days, air {air_words}.",
            weather_source=answer.weather_source,
            when=when,
            days=days,
            air_words=air_words,
        )
    )


def _bin_words(shape: BinShape, system: UnitSystem) -> str:
    width, depth, height = (
        q.format_length(metres, system) for metres in (shape.width_m, shape.depth_m, shape.height_m)
    )
    size = (
        worded("Round bin, {width} across", width=width)
        if shape.is_round
        else worded("Square bin, {width} by {depth}", width=width, depth=depth)
    )
    return worded(
        "{size}, {height} high; sides: {wall}, on top: {cover}, on: {ground}, shade {shade}.",
        size=size,
        height=height,
        wall=shape.wall,
        cover=shape.cover,
        ground=shape.ground,
        shade=q.format_share(shape.shade),
    )


def _picture(answer: Simulation) -> chart.Picture:
    drawn = {_AIR: answer.hourly.air_c, _EDGE: answer.hourly.edge_c}
    for letter, probe in zip(_PROBE_LETTERS, answer.probes, strict=False):
        drawn[letter] = probe.temperature_c
    return chart.Picture(lines=drawn, signs=signs_of(answer.actions))


def _key(answer: Simulation) -> str:
    words = [
        f"{letter} {probe.name}"
        for letter, probe in zip(_PROBE_LETTERS, answer.probes, strict=False)
    ]
    words += [worded("{edge} edge", edge=_EDGE), worded("{air} air", air=_AIR)]
    done = dict.fromkeys(action.kind for action in answer.actions)
    words += [f"{_SIGNS[kind]} {_SIGN_WORDS[kind]}" for kind in done]
    return ", ".join(words)


def _figures(answer: Simulation, system: UnitSystem) -> Iterator[tuple[str, str]]:
    for probe in answer.probes:
        yield from _probe_figures(probe, system)
    hourly, totals = answer.hourly, answer.totals
    low, high = hourly.core_oxygen_share.min(), hourly.core_oxygen_share.max()
    yield (
        "Oxygen, core",
        worded("{low} to {high}", low=q.format_share(float(low)), high=q.format_share(float(high))),
    )
    at_end = (hourly.core_moisture_share, hourly.edge_moisture_share, hourly.mean_moisture_share)
    core, edge, mean = (q.format_share(float(values[-1])) for values in at_end)
    yield (
        "Water at the end",
        worded("{mean} in all, core {core}, edge {edge}", mean=mean, core=core, edge=edge),
    )
    yield from _losses(totals, system)
    yield "Heat went", _where_heat_went(answer)


def _probe_figures(probe: ProbeCourse, system: UnitSystem) -> Iterator[tuple[str, str]]:
    peak = q.format_temperature(probe.peak_c, system)
    hot = q.format_temperature(HOT_C, system)
    days = probe.time_at_55_c_or_more_h / HOURS_A_DAY
    at_end = q.format_temperature(float(probe.temperature_c[-1]), system)
    yield (
        f"At {probe.name}",
        (
            worded(
                "peak {peak} on day {peak_at_h:.1f}; {days:.1f} days at {hot} or more; {at_end} "
                "at the end",
                peak=peak,
                peak_at_h=probe.peak_at_h / HOURS_A_DAY,
                days=days,
                hot=hot,
                at_end=at_end,
            )
        ),
    )


def _losses(totals: Totals, system: UnitSystem) -> Iterator[tuple[str, str]]:
    def mass(kilograms: float) -> str:
        return q.format_mass(kilograms, system) if kilograms >= _LEAST_KG else "none"

    left, first = totals.volume_left_m3, totals.volume_at_first_m3
    volumes = worded(
        "{left} of {first}",
        left=q.format_volume(left, system),
        first=q.format_volume(first, system),
    )
    ratio = q.format_number(totals.c_to_n_left_ratio)
    yield (
        "Left",
        worded(
            "{volumes}, {dry_mass_left_kg} dry, C:N {ratio}",
            volumes=volumes,
            dry_mass_left_kg=mass(totals.dry_mass_left_kg),
            ratio=ratio,
        ),
    )
    lost, carbon = mass(totals.dry_mass_lost_kg), mass(totals.carbon_dioxide_carbon_lost_kg)
    share = _part(totals.dry_mass_lost_kg, totals.dry_mass_in_kg)
    yield (
        "Lost",
        worded(
            "{share} of the dry mass ({lost}; {carbon} carbon as carbon dioxide)",
            share=share,
            lost=lost,
            carbon=carbon,
        ),
    )
    vapour, drained = mass(totals.water_evaporated_kg), mass(totals.water_drained_kg)
    yield (
        "Water gone",
        worded("{vapour} as vapour, {drained} drained", vapour=vapour, drained=drained),
    )
    ammonia = _part(totals.ammonia_nitrogen_lost_kg, totals.nitrogen_in_kg)
    washed = _part(totals.nitrogen_drained_kg, totals.nitrogen_in_kg)
    yield (
        "Nitrogen gone",
        worded("{ammonia} as ammonia, {washed} drained", ammonia=ammonia, washed=washed),
    )


def _where_heat_went(answer: Simulation) -> str:
    hourly = answer.hourly
    released = float(hourly.heat_released_j[-1])
    ways = (
        ("with the air", hourly.heat_with_air_j),
        ("through the sides", hourly.heat_through_side_j),
        ("through the top", hourly.heat_through_top_j),
        ("into the ground", hourly.heat_into_ground_j),
        ("while turning", hourly.heat_lost_turning_j),
    )
    return ", ".join(_gone_or_come(float(values[-1]), released, words) for words, values in ways)


def _gone_or_come(joules: float, released: float, words: str) -> str:
    if joules >= 0.0:
        return f"{_part(joules, released)} {words}"
    return worded("{words} {joules} came in", words=words, joules=_part(-joules, released))


def _part(some: float, whole: float) -> str:
    return q.format_share(some / whole) if whole > 0.0 else "none"


def _rules(answer: Simulation) -> Iterator[str]:
    yield "Share of the heap that by the model met each published rule (never proof):"
    yield from screen.table(
        [
            (
                share.name + (" (a benchmark)" if share.is_benchmark else ""),
                q.format_share(share.share),
                ""
                if share.turnings_wanted is None
                else worded(
                    "{turnings_in_hot_period} of {turnings_wanted}",
                    turnings_in_hot_period=share.turnings_in_hot_period,
                    turnings_wanted=share.turnings_wanted,
                ),
            )
            for share in answer.rule_shares
        ],
        headings=("Rule", "met", "turnings"),
        right=(1, 2),
    )


def signs_of(actions: Sequence[HeapAction]) -> list[tuple[float, str]]:
    """Return what was done as a picture's signs."""
    return [(action.hour / HOURS_A_DAY, _SIGNS[action.kind]) for action in actions]
