"""Says whether a material may go into a home heap, and on what condition.

Knows the hazard of each material and which conditions have been met. Knows nothing of how a
condition is proved (heat records and bioassays belong to the floors above).
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import cache

from heapwright.errors import NotForCompost
from heapwright.materials.table import PACKAGE, load_materials
from heapwright.materials.types import Material, Permission
from heapwright.tables import read_rows
from heapwright.wording import worded

#: Conditions other floors prove; the rest are asked of the person.
PROVEN_HEAT = "proven heat in every part"
DRIED_AND_PROVEN_HEAT = "dried dead and proven heat in every part"
BIOASSAY_PASSED = "herbicide bioassay passed"


@dataclass(frozen=True, slots=True)
class Condition:
    """What to ask before a conditional material goes in, and how it is met."""

    name: str
    question: str
    how: str


@cache
def conditions() -> dict[str, Condition]:
    """Return every condition by its name."""
    return {
        row["condition"]: Condition(row["condition"], row["question"], row["how"])
        for row in read_rows(PACKAGE, "data/conditions.csv")
    }


def check_allowed(material: Material, conditions_met: AbstractSet[str] = frozenset()) -> None:
    """Do nothing if the material may go in; otherwise say why not and what to do instead.

    Parameters
    ----------
    material : Material
    conditions_met : set of str
        Names of conditions (see `conditions`) that hold for this lot.

    Raises
    ------
    NotForCompost
        When it is refused, or conditional and its condition is not met.

    Notes
    -----
    Meeting a condition lowers a risk; it does not prove the compost free of germs or seeds.

    """
    hazard = material.hazard
    if hazard is None or hazard.permission is Permission.ALLOWED:
        return
    if hazard.permission is Permission.CONDITIONAL:
        if hazard.condition in conditions_met:
            return
        raise NotForCompost(
            worded(
                '{name} may go in only on a condition: "{condition}"',
                name=material.name,
                condition=hazard.condition,
            ),
            why=hazard.reason,
            instead=hazard.instead,
        )
    raise NotForCompost(
        worded("{name} must not go into a home heap", name=material.name),
        why=hazard.reason,
        instead=hazard.instead,
    )


def refused_or_conditional() -> list[Material]:
    """Return every material that carries a hazard, refused ones first."""
    hazardous = [material for material in load_materials().values() if material.hazard]
    return sorted(
        hazardous,
        key=lambda m: m.hazard is not None and m.hazard.permission is not Permission.REFUSED,
    )
