"""Answers what some materials are together: from explicit numbers, or from people's words.

Knows how a file or a list of words becomes parts. Knows no arithmetic (`mixing`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heapwright.errors import NotForCompost, NotUnderstood
from heapwright.materials.hazards import check_allowed
from heapwright.materials.search import find_material
from heapwright.materials.types import Material, Packing
from heapwright.mixing.explicit import answer, read_explicit, read_explicit_text
from heapwright.mixing.lots import lot_properties
from heapwright.mixing.spread import mixture_range
from heapwright.mixing.types import Lot, MixtureRange
from heapwright.quantities import UnitSystem
from heapwright.quantities.amounts import Amount, parse_amount
from heapwright.quantities.containers import Container
from heapwright.sentences import Sentence, say, word
from heapwright.tables import Estimate, Evidence

ONE_LITRE_M3 = 0.001
#: Amounts by volume or mass are counted in containers this fine, so that they stay exact.
SHARE_OF_A_LITRE = "litre"


@dataclass(frozen=True, slots=True)
class MixAnswer:
    """A mixture of materials named in words.

    Attributes
    ----------
    mixture : MixtureRange
    parts : tuple of (amount as said, Material)
    notes : tuple of Sentence
        Conditions and cautions of what was named, and what had to be assumed.

    """

    mixture: MixtureRange
    parts: tuple[tuple[str, Material], ...]
    notes: tuple[Sentence, ...]


def mix_explicit(document: object) -> dict[str, object]:
    """Return the mixture of parts given with explicit numbers, as plain values.

    Parameters
    ----------
    document : str or mapping
        The JSON text, or what it holds: see `docs/how-to.md`.

    Raises
    ------
    HeapwrightError
        Naming the field and the value that cannot be.

    """
    asked = read_explicit_text(document) if isinstance(document, str) else read_explicit(document)
    return answer(asked.mixture())


def mix_words(
    parts: Sequence[tuple[str, str]],
    target_moisture: float | None = None,
    own_containers: Sequence[Container] = (),
    system: UnitSystem | None = None,
) -> MixAnswer:
    """Return the mixture of amounts of materials, both in people's words.

    Parameters
    ----------
    parts : sequence of (amount, material)
        Such as ("2 pails", "coffee grounds").
    target_moisture : float, optional
        Wet basis; the water to reach it is answered. [0-1]
    own_containers : sequence of Container
    system : UnitSystem, optional
        Decides what a "bucket" is; it is asked back without one.

    Raises
    ------
    HeapwrightError
        If an amount or a material is not understood, or a material is refused.

    """
    if not parts:
        raise NotUnderstood("No material was named", instead='Give such as "2 pails" "leaves"')
    amounts: list[tuple[Lot, float]] = []
    named: list[tuple[str, Material]] = []
    notes: list[Sentence] = []
    for number, (amount_text, words) in enumerate(parts):
        amount = parse_amount(amount_text, own_containers, system)
        material = find_material(words)
        notes += _what_to_mind(material)
        notes += _assumed(amount)
        amounts.append(_counted(f"part-{number}", material, amount))
        named.append((amount_text, material))
    mixture = mixture_range(amounts, target_moisture=target_moisture)
    return MixAnswer(mixture, tuple(named), tuple(notes))


def _counted(key: str, material: Material, amount: Amount) -> tuple[Lot, float]:
    """Return the amount as so many containers of a lot."""
    container = amount.container
    lot = Lot(
        key=key,
        material=material,
        container_name=container.name if container else SHARE_OF_A_LITRE,
        container_volume_m3=container.volume_m3 if container else ONE_LITRE_M3,
        count=0,
        fullness=amount.fullness,
        packing=amount.packing or Packing.LOOSE,
    )
    if amount.mass_kg is not None:
        litre_kg = lot_properties(lot).container_mass_kg.typical
        weighed = Estimate.exactly(litre_kg, "weighed", Evidence.MEASURED)
        exact = Lot(
            key=key,
            material=material,
            container_name=SHARE_OF_A_LITRE,
            container_volume_m3=ONE_LITRE_M3,
            count=0,
            fullness=amount.fullness,
            packing=lot.packing,
            measured={"container_mass_kg": weighed},
        )
        return exact, amount.mass_kg / litre_kg
    if container is None:
        return lot, (amount.given_volume_m3 or 0.0) / ONE_LITRE_M3
    return lot, amount.count


def _what_to_mind(material: Material) -> list[Sentence]:
    if material.hazard is None:
        return []
    try:
        check_allowed(material)
    except NotForCompost as refusal:
        if not material.hazard.condition:
            raise
        return [say("{why}", why=word(refusal.explanation()))]
    return []


def _assumed(amount: Amount) -> list[Sentence]:
    if amount.fullness_said or amount.container is None or not amount.container.is_rarely_full:
        return []
    return [
        say(
            "A {container} is rarely quite full; say how full it is for a narrower answer.",
            container=word(amount.container.name),
        )
    ]
