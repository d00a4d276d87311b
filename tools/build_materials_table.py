"""Turns the reference table of feedstocks into the shipped table of materials, by written rules.

Knows the reference table (`tools/reference/feedstocks.csv`, 153 materials as collected from the
literature), the choices made by hand beside it, and the rules below. Writes
`src/heapwright/materials/data/materials.csv`; a test runs it again and compares. Run it with
`python3 tools/build_materials_table.py`.

Rules
-----
0. A value is taken from the first that has it: a choice made by hand (`overrides.csv`), the
   reference table, another material that stands in (`model_as.csv`), the kind (`kinds.csv`).
1. **Impossible carbon.** Handbooks average nitrogen and C:N separately, so their product need not
   be a carbon content (sawdust 0.24 % x 442 = 106 %). Carbon must lie between 30 and 60 % of dry
   mass and must not exceed 60 % of volatile solids even at the least ash of the kind (most
   biological materials hold 45-60 % of them as carbon). Where it cannot be, C:N is kept, carbon
   becomes the plausible one of the kind (wood 50 %, grass 45 %, ...) and nitrogen is derived:
   N = C / (C:N).
2. **Ash** where absent: 1 - 1.8 C, kept inside the plausible range of the kind.
3. **Range of carbon**: 15 % of the value each way (our choice), kept inside 45 to 60 % of the
   likely volatile solids where the value itself lies inside.
4. **Stand-ins** widen the range (see `model_as.csv`).
5. **One printed value**: it is the likely one; the range is ours, a quarter of the value each way
   (moisture: a quarter of the smaller of water and solids; C:N and nitrogen derived from food
   tables: a fifth, because C = VS/1.8 overstates carbon of sugary food by up to about that).
   Nothing that rots is heavier than waterlogged plant matter, 1,050 kg/m3 (from memory).
6. Salts, shells, ash, soil and char are exempt from rule 1: they are not organic, or their carbon
   does not rot.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

if __name__ == "__main__":  # run as a file: find the neighbours
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tools.feedstock_sources import citation
from tools.feedstock_values import Value, Values, read_table, value_of, weaker

ROOT = Path(__file__).resolve().parent.parent
REFERENCE = ROOT / "tools" / "reference"
DATA = ROOT / "src" / "heapwright" / "materials" / "data"
TARGET = DATA / "materials.csv"

HEADING = """\
# Properties of materials, one row a value. Written by tools/build_materials_table.py: do not edit.
# Shares are fractions; moisture of wet mass, nitrogen, carbon and ash of dry mass, bulk density wet
# and loose. Sources are ids of sources.toml. The rules are in that program's opening text.
"""
COLUMNS = [
    "id", "material", "quantity", "low", "typical", "high", "unit", "basis",
    "source", "place", "evidence", "note",
]  # fmt: skip
UNITS = {
    "moisture": ("1", "wet mass"),
    "nitrogen": ("1", "dry mass"),
    "c_to_n": ("1", "mass ratio, dry"),
    "carbon": ("1", "dry mass"),
    "bulk_density": ("kg/m3", "wet mass per loose volume"),
    "ash": ("1", "dry mass"),
}
#: Reference columns of each quantity: likely, low, high, source, factor to the inner unit.
REFERENCE_COLUMNS: dict[str, tuple[str, str, str, str, float]] = {
    "moisture": ("moisture_pct_wb_typ", "moisture_low", "moisture_high", "source_moisture", 0.01),
    "nitrogen": ("nitrogen_pct_dry_typ", "n_low", "n_high", "source_nitrogen", 0.01),
    "c_to_n": ("c_to_n_typ", "cn_low", "cn_high", "source_cn", 1.0),
    "bulk_density": ("bulk_density_kg_m3_typ", "bd_low", "bd_high", "source_bulk_density", 1.0),
}
INORGANIC_KINDS = {"urea", "urine", "shell", "ash", "soil", "char", "compost", "leaf mould", "fat"}
CARBON_LOWEST, CARBON_HIGHEST = 0.30, 0.60
CARBON_OF_VS_LOWEST, CARBON_OF_VS_LIKELY, CARBON_OF_VS_HIGHEST = 0.45, 1 / 1.8, 0.60
ONE_VALUE = "one value printed; range by rule 5"
SPREAD = 0.25
SPREAD_DERIVED = 0.20
SPREAD_CARBON = 0.15
AGREES = 0.02  # N x C:N and a chosen carbon are taken for the same within this share
HEAVIEST_KG_M3 = 1050.0


def from_reference(row: dict[str, str], quantity: str) -> Value | None:
    """Return a quantity of the reference table, its range by rule 5 where only one is printed."""
    *columns, source, factor = REFERENCE_COLUMNS[quantity]
    likely, low, high = (float(row[name]) * factor if row[name] else None for name in columns)
    if likely is None and low is not None and high is not None:
        likely = (low + high) / 2
    if likely is None:
        return None
    cited = citation(row[source])
    evidence, note = cited.evidence, cited.note
    if low is None or high is None:
        spread = spread_of(quantity, likely, evidence)
        low, high = likely - spread, likely + spread
        evidence, note = weaker(evidence, "derived"), "; ".join(filter(None, (ONE_VALUE, note)))
    return Value(
        min(low, likely), likely, max(high, likely), cited.source, cited.place, evidence, note
    )


def no_heavier(density: Value) -> Value:
    """Return a bulk density kept below that of waterlogged plant matter (rule 5)."""
    return replace(density, high=min(density.high, max(density.typical, HEAVIEST_KG_M3)))


def spread_of(quantity: str, typical: float, evidence: str) -> float:
    """Return the half range of rule 5."""
    if quantity == "moisture":
        return SPREAD * min(typical, 1 - typical)
    return (SPREAD_DERIVED if evidence == "derived" else SPREAD) * typical


def own_values(
    key: str, reference: dict[str, dict[str, str]], overrides: dict[tuple[str, str], Value]
) -> Values:
    """Return what is known of a material itself (rule 0, first two)."""
    values: Values = {}
    for quantity in UNITS:
        if (key, quantity) in overrides:
            values[quantity] = overrides[key, quantity]
        elif quantity in REFERENCE_COLUMNS and key in reference:
            found = from_reference(reference[key], quantity)
            if found:
                values[quantity] = found
    ash = reference.get(key, {}).get("ash_pct_dry_typ")
    if ash and "ash" not in values:
        cited = citation(reference[key]["source_moisture"])
        share = float(ash) / 100
        values["ash"] = Value(
            share * (1 - SPREAD), share, min(1.0, share * (1 + SPREAD)),
            cited.source, cited.place, weaker(cited.evidence, "derived"), ONE_VALUE,
        )  # fmt: skip
    return values


def stand_in(values: Values, rule: dict[str, str], others: Values) -> Values:
    """Fill what is missing from another material (rule 4)."""
    wanted = set(UNITS) if rule["quantities"] == "all" else set(rule["quantities"].split("|"))
    if {"nitrogen", "c_to_n"} <= set(values):
        wanted.discard("carbon")  # it follows from the other two
    if "nitrogen" in values or "c_to_n" in values:
        wanted -= {"nitrogen", "c_to_n"}  # the other follows from carbon
    for quantity in sorted(wanted - set(values)):
        if quantity in others:
            # The range of carbon and ash is as wide as can be already (rules 2 and 3).
            widen = 0.0 if quantity in ("carbon", "ash") else float(rule["widen"])
            taken = others[quantity].widened(widen, quantity)
            note = f"modelled as {rule['model_as']}" + (
                f" ({rule['note']})" if rule["note"] else ""
            )
            values[quantity] = replace(taken, evidence=weaker(taken.evidence, "derived"), note=note)
    return values


def settle_ash(values: Values, kind: Values) -> Values:
    """Fill ash where absent (rule 2), from the carbon that N x C:N gives or that of the kind."""
    if "ash" not in values:
        low, likely, high = (getattr(kind["ash"], end) for end in ("low", "typical", "high"))
        carbon = product(values)
        by_carbon = None if carbon is None else 1 - carbon / CARBON_OF_VS_LIKELY
        if by_carbon is not None and low <= by_carbon <= high:
            values["ash"] = replace(
                kind["ash"], typical=by_carbon, source="cornell-science; from memory",
                place="C = VS/1.8", evidence="derived",
                note="rule 2: 1 - 1.8 C, range of the kind from memory",
            )  # fmt: skip
        else:
            values["ash"] = replace(kind["ash"], typical=likely)
    return values


def product(values: Values) -> float | None:
    """Return the carbon that nitrogen and C:N give together, when both are known."""
    if "nitrogen" in values and "c_to_n" in values:
        return values["nitrogen"].typical * values["c_to_n"].typical
    return None


def settle_carbon(values: Values, kind: Values, *, organic: bool) -> Values:
    """Make nitrogen, carbon and C:N one possible triple (rules 1 and 3)."""
    solids, most_solids = 1 - values["ash"].typical, 1 - values["ash"].low
    carbon = values["carbon"].typical if "carbon" in values else product(values)
    possible = carbon is not None and (
        not organic
        or CARBON_LOWEST <= carbon <= min(CARBON_HIGHEST, CARBON_OF_VS_HIGHEST * most_solids)
    )
    own, both = values.get("carbon"), product(values)
    if own is not None and both is not None and abs(both / own.typical - 1) > AGREES:
        return corrected(values, own)
    if carbon is not None and "c_to_n" in values and not possible:
        return corrected(values, kind["carbon"])
    if carbon is None or not possible:
        values["carbon"] = carbon_range(kind["carbon"], solids, organic)
    elif "carbon" not in values:
        basis = values["c_to_n"]
        likely = replace(
            basis, typical=carbon, evidence=weaker(basis.evidence, "derived"), note="N x C:N"
        )
        values["carbon"] = carbon_range(likely, solids, organic)
    return complete_pair(values)


def corrected(values: Values, carbon: Value) -> Values:
    """Keep C:N, take the plausible (or chosen) carbon, derive nitrogen (rule 1)."""
    ratio = values["c_to_n"]
    note = f"rule 1: N x C:N would give {product(values) or 0:.0%} carbon; C:N kept"
    values["carbon"] = replace(carbon, note=note)
    values["nitrogen"] = Value(
        carbon.typical / ratio.high, carbon.typical / ratio.typical, carbon.typical / ratio.low,
        ratio.source, ratio.place, weaker(ratio.evidence, "derived"), note + ", N = C / (C:N)",
    )  # fmt: skip
    return values


def carbon_range(likely: Value, solids: float, organic: bool) -> Value:
    """Return the range of carbon by rule 3; the kind's own range where it is not organic."""
    if not organic:
        return (
            likely
            if likely.low <= likely.typical <= likely.high
            else replace(likely, low=likely.typical * 0.8, high=likely.typical * 1.2)
        )
    carbon = likely.typical
    low, high = carbon * (1 - SPREAD_CARBON), carbon * (1 + SPREAD_CARBON)
    if carbon >= CARBON_OF_VS_LOWEST * solids:
        low = max(low, CARBON_OF_VS_LOWEST * solids)
    low = min(max(low, CARBON_LOWEST), carbon)
    high = max(min(high, CARBON_OF_VS_HIGHEST * solids, CARBON_HIGHEST), carbon)
    note = "; ".join(t for t in (likely.note, "range by rule 3") if t)
    return replace(likely, low=low, high=high, note=note)


def complete_pair(values: Values) -> Values:
    """Derive nitrogen from carbon and C:N, or C:N from carbon and nitrogen."""
    carbon = values["carbon"]
    if "nitrogen" not in values:
        ratio = values["c_to_n"]
        values["nitrogen"] = Value(
            carbon.typical / ratio.high, carbon.typical / ratio.typical, carbon.typical / ratio.low,
            ratio.source, ratio.place, weaker(ratio.evidence, "derived"), "N = C / (C:N)",
        )  # fmt: skip
    nitrogen = values["nitrogen"]
    if nitrogen.typical > 0 and "c_to_n" not in values:
        values["c_to_n"] = Value(
            carbon.typical / nitrogen.high, carbon.typical / nitrogen.typical,
            carbon.typical / (nitrogen.low or nitrogen.typical / 2),
            nitrogen.source, nitrogen.place, weaker(nitrogen.evidence, "derived"), "C:N = C / N",
        )  # fmt: skip
    return values


def build_values() -> dict[str, Values]:
    """Return every quantity of every material that has numbers."""
    names = {row["key"]: row for row in read_table(DATA / "names.csv")}
    reference = {row["key"]: row for row in read_table(REFERENCE / "feedstocks.csv")}
    rules = {row["material"]: row for row in read_table(REFERENCE / "model_as.csv")}
    overrides = {
        (r["material"], r["quantity"]): value_of(r) for r in read_table(REFERENCE / "overrides.csv")
    }
    kinds: dict[str, Values] = {}
    for row in read_table(REFERENCE / "kinds.csv"):
        quantity = row["quantity"].removesuffix("_dry")
        kinds.setdefault(row["for"], {})[quantity] = value_of(row, "likely for its kind; ")
    done: dict[str, Values] = {}

    def settle(key: str) -> Values:
        if key not in done:
            kind = kinds[names[key]["kind"]]
            values = own_values(key, reference, overrides)
            if key in rules:
                values = stand_in(values, rules[key], settle(rules[key]["model_as"]))
            for quantity in ("moisture", "bulk_density"):
                values.setdefault(quantity, kind[quantity])
            organic = names[key]["kind"] not in INORGANIC_KINDS
            if organic:
                values["bulk_density"] = no_heavier(values["bulk_density"])
            values = settle_ash(values, kind)
            if "nitrogen" not in values and "c_to_n" not in values:
                raise SystemExit(
                    f"{key}: neither nitrogen nor C:N is known; add a row to overrides.csv"
                )
            done[key] = settle_carbon(values, kind, organic=organic)
        return done[key]

    return {key: settle(key) for key, row in names.items() if row["kind"] != "none"}


def table_text() -> str:
    """Return the whole shipped table as text."""
    lines = [",".join(COLUMNS)]
    for key, values in build_values().items():
        for quantity in UNITS:
            if quantity in values:
                lines.append(row_text(key, quantity, values[quantity]))
    return HEADING + "\n".join(lines) + "\n"


def row_text(key: str, quantity: str, value: Value) -> str:
    """Return one row; fields with a comma are quoted."""
    unit, basis = UNITS[quantity]
    numbers = [f"{number:.4g}" for number in (value.low, value.typical, value.high)]
    fields = [
        f"{key}-{quantity}", key, quantity, *numbers, unit, basis,
        value.source, value.place, value.evidence, value.note,
    ]  # fmt: skip
    return ",".join(f'"{f}"' if "," in f else f for f in fields)


if __name__ == "__main__":
    TARGET.write_text(table_text(), encoding="utf-8")
    print(f"wrote {TARGET.relative_to(ROOT)}")
