"""Reads what goes into a scenario's heap: amounts of materials in words, or plain numbers.

Knows how either becomes the model's fill and what is taken where nothing is said. Knows no
arithmetic of mixing (`mixing`) and no limits of a heap (`heap.checks`).
"""

from __future__ import annotations

from dataclasses import replace

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.heap.types import BinShape, Fill
from heapwright.mixing.types import Mixture
from heapwright.quantities import parse_amount
from heapwright.quantities.units import to_si
from heapwright.sentences import say, share, volume, water, word
from heapwright.wording import worded
from heapwright.workshop.history import settings_table
from heapwright.workshop.mix import MixAnswer, mix_words
from heapwright.workshop.scenario.heap_form import ExplicitFill, MaterialsFill
from heapwright.workshop.scenario.types import Asker, Said, usual

#: Beyond this a volume is a slip, and a tiny density would make it endless.
_MOST_M3 = 1e6


def built_fill(
    form: MaterialsFill | ExplicitFill, shape: BinShape, asker: Asker, said: Said
) -> Fill:
    """Return the fill a heap is built of, in its bin.

    What stands far above the rim is taken as pressed down, and told.

    Raises
    ------
    HeapwrightError
        If an amount, a material or a number is not understood.

    """
    if isinstance(form, ExplicitFill):
        return _of_numbers(form, shape.volume_m3, "what goes in", said)
    fill = _of_materials(form, asker, said)
    most = settings_table()["heaped_over_bin"] * shape.volume_m3
    if fill.volume_m3 <= most:
        return fill
    said.assumed.append(
        say(
            "{loose} of loose material goes into a bin of {bin}: taken as pressed to {most}.",
            loose=volume(fill.volume_m3),
            bin=volume(shape.volume_m3),
            most=volume(most),
        )
    )
    return replace(fill, volume_m3=most)


def added_fill(form: MaterialsFill | ExplicitFill, asker: Asker, said: Said) -> Fill:
    """Return what is added to a living heap; its volume must be told or follow from materials.

    Raises
    ------
    HeapwrightError
        As `built_fill`.

    """
    if isinstance(form, MaterialsFill):
        return _of_materials(form, asker, said)
    if form.volume_m3 is None and form.bulk_density_kg_m3 is None:
        raise NotUnderstood(
            "An addition without its volume",
            why="how much room it takes is not known",
            instead="Give volume_m3 or bulk_density_kg_m3",
        )
    return _of_numbers(form, 0.0, "what is added", said)


def water_kg(litres: float | None, words: str | None, asker: Asker) -> float:
    """Return water given as litres or in words; none when neither is said. [kg]

    Raises
    ------
    NotUnderstood, OutOfRange
        If the words are no amount.

    """
    if words is None:
        return litres or 0.0  # 1 L of water is 1 kg, as everywhere in this program
    amount = parse_amount(words, asker.own_containers, asker.system)
    if amount.volume_m3 is None:
        return amount.mass_kg or 0.0
    return amount.volume_m3.typical / to_si(1.0, "L")


def _of_materials(form: MaterialsFill, asker: Asker, said: Said) -> Fill:
    parts = [(part.amount, part.material) for part in form.materials]
    answer = mix_words(parts, form.target_moisture, asker.own_containers, asker.system)
    _tell(answer, said)
    likely = answer.mixture.likely
    given = max(0.0, likely.water_to_add_kg)
    if form.target_moisture is None:
        given = water_kg(form.water_l, form.water, asker)
    else:
        said.assumed.append(
            say(
                "{amount} of water go in with the materials, to bring them to {target}.",
                amount=water(given),
                target=share(form.target_moisture),
            )
        )
    return _wetted(likely, given, form.temperature_c)


def _wetted(likely: Mixture, given_kg: float, temperature_c: float | None) -> Fill:
    mass = likely.mass_kg + given_kg
    return Fill(
        wet_mass_kg=mass,
        moisture=1.0 - likely.dry_mass_kg / mass,
        volume_m3=likely.volume_m3 or 0.0,  # the table has every material's density
        ash_dry=likely.ash_kg / likely.dry_mass_kg,
        fast_share=likely.fast_share,
        medium_share=likely.medium_share,
        c_to_n=likely.c_to_n,
        temperature_c=temperature_c,
    )


def _tell(answer: MixAnswer, said: Said) -> None:
    names = ", ".join(
        worded("{amount} of {name}", amount=amount, name=material.name)
        for amount, material in answer.parts
    )
    said.assumed.append(
        say("{names}: the likely values of the materials table.", names=word(names))
    )
    said.notes += answer.notes
    said.notes += [say("{note}", note=word(note)) for note in answer.mixture.likely.notes]
    said.cautions += [
        say("{material}: {caution}", material=word(material.name), caution=word(caution))
        for _, material in answer.parts
        for caution in material.cautions
    ]


def _of_numbers(form: ExplicitFill, bin_m3: float, of: str, said: Said) -> Fill:
    table = usual()

    def taken(what: str, value: float) -> float:
        told = say("{what} of {of}: {value}.", what=word(what), of=word(of), value=share(value))
        if told not in said.assumed:
            said.assumed.append(told)
        return value

    solids, fast, medium = form.volatile_solids, form.fast_share, form.medium_share
    if solids is None:
        solids = taken("Volatile solids", table["volatile_solids"])
    if fast is None:
        fast = taken("Fast share", min(table["fast_share"], 1.0 - (medium or 0.0)))
    if medium is None:
        medium = taken("Medium share", min(table["medium_share"], 1.0 - fast))
    return Fill(
        wet_mass_kg=form.wet_mass_kg,
        moisture=form.moisture,
        volume_m3=_volume_m3(form, bin_m3, said),
        ash_dry=1.0 - solids,
        fast_share=fast,
        medium_share=medium,
        c_to_n=form.c_to_n,
        temperature_c=form.temperature_c,
    )


def _volume_m3(form: ExplicitFill, bin_m3: float, said: Said) -> float:
    if form.volume_m3 is not None:
        return form.volume_m3
    if form.bulk_density_kg_m3 is not None:
        if form.bulk_density_kg_m3 < form.wet_mass_kg / _MOST_M3:
            raise OutOfRange(
                worded(
                    "{wet_mass_kg:g} kg at {bulk_density_kg_m3:g} kg/m³",
                    wet_mass_kg=form.wet_mass_kg,
                    bulk_density_kg_m3=form.bulk_density_kg_m3,
                ),
                why="no garden holds so much",
                instead="Check the mass and the density",
            )
        return form.wet_mass_kg / form.bulk_density_kg_m3
    said.assumed.append(say("The heap fills its bin to the rim, {bin}.", bin=volume(bin_m3)))
    return bin_m3
