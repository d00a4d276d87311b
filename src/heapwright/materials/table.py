"""Loads the materials table: every material with its ranges, words, hazard and cautions.

Knows the shipped tables in `data/` and how they join. Knows nothing of searching by words (see
`search`), of amounts or of mixing.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from heapwright.materials.types import Hazard, Material, Packing, Permission, Role
from heapwright.tables import Estimate, Evidence, estimate_from_row, read_rows
from heapwright.wording import worded

PACKAGE = "heapwright.materials"

#: Names of quantities in the tables, by attribute of `Material`.
_PROPERTIES = {
    "moisture": "moisture",
    "nitrogen_dry": "nitrogen",
    "carbon_dry": "carbon",
    "bulk_density_kg_m3": "bulk_density",
    "ash_dry": "ash",
}
_NO_NUMBERS = "no numbers known"
_OTHER_KIND = "other"

_Key = tuple[str, str]


@cache
def load_materials() -> dict[str, Material]:
    """Return every material by its key. Read once; do not change the result.

    Returns
    -------
    dict of str to Material
        In the order of the table. Materials that are refused and have no figures carry
        `has_numbers` False and ranges that span all that is possible.

    """
    hazards = {row["material"]: _hazard(row) for row in read_rows(PACKAGE, "data/hazards.csv")}
    cautions = _cautions()
    notes = _notes()
    return {
        row["key"]: _material(row, hazards.get(row["key"]), cautions, notes)
        for row in read_rows(PACKAGE, "data/names.csv")
    }


def _material(
    row: Mapping[str, str],
    hazard: Hazard | None,
    cautions: Mapping[str, tuple[str, ...]],
    notes: Mapping[str, tuple[str, ...]],
) -> Material:
    key, kind = row["key"], row["kind"]
    values = {name: _property(key, quantity) for name, quantity in _PROPERTIES.items()}
    return Material(
        key=key,
        name=row["name"],
        role=Role(row["role"]),
        **values,
        fast_share=_by_kind("degradability", key, kind, "fast_share"),
        medium_share=_by_kind("degradability", key, kind, "medium_share"),
        packing_factor=_packing_factors(key, kind),
        keeps_days=_by_kind("keeps", key, kind, "keeps_days"),
        is_food=row["is_food"] == "yes",
        hazard=hazard,
        cautions=tuple(dict.fromkeys(cautions.get(key, ()) + cautions.get(kind, ()))),
        words=tuple(row["words"].split("|")),
        notes=notes.get(key, ()),
        kind=kind,
        has_numbers=(key, "moisture") in _values("materials"),
    )


@cache
def _values(table: str) -> Mapping[_Key, Estimate]:
    """Return a property table as {(material or kind, quantity): Estimate}."""
    return {
        (row.get("material") or row["for"], row["quantity"]): estimate_from_row(row)
        for row in read_rows(PACKAGE, worded("data/{table}.csv", table=table))
    }


def _property(key: str, quantity: str) -> Estimate:
    known = _values("materials").get((key, quantity))
    if known is not None:
        return known
    highest = 1000.0 if quantity == "bulk_density" else 1.0  # anything up to water, or all of it
    return Estimate(0.0, highest / 2, highest, _NO_NUMBERS, Evidence.MEMORY)


def _by_kind(table: str, key: str, kind: str, quantity: str) -> Estimate:
    """Return a value of the material itself, else of its kind."""
    values = _values(table)
    return values.get((key, quantity)) or values[kind, quantity]


def _packing_factors(key: str, kind: str) -> dict[Packing, Estimate]:
    values = _values("packing")
    factors = {Packing.LOOSE: Estimate.exactly(1.0, "definition", Evidence.DERIVED)}
    for packing in (Packing.PRESSED, Packing.SHREDDED):
        quantity = worded("packing_{packing}", packing=packing)
        factors[packing] = (
            values.get((key, quantity))
            or values.get((kind, quantity))
            or values[_OTHER_KIND, quantity]
        )
    return factors


def _hazard(row: Mapping[str, str]) -> Hazard:
    return Hazard(
        permission=Permission(row["permission"]),
        reason=row["reason"],
        instead=row["instead"],
        source=row["source"],
        condition=row["condition"],
    )


@cache
def _cautions() -> Mapping[str, tuple[str, ...]]:
    """Return cautions by material or kind."""
    collected: dict[str, tuple[str, ...]] = {}
    for row in read_rows(PACKAGE, "data/cautions.csv"):
        for name in row["for"].split("|"):
            collected[name] = (*collected.get(name, ()), row["caution"])
    return collected


@cache
def _notes() -> Mapping[str, tuple[str, ...]]:
    """Return what was corrected or chosen for each material, with the quantity named."""
    collected: dict[str, tuple[str, ...]] = {}
    for row in read_rows(PACKAGE, "data/materials.csv"):
        if row["note"]:
            note = f"{row['quantity'].replace('_', ' ')}: {row['note']}"
            collected[row["material"]] = (*collected.get(row["material"], ()), note)
    return collected
