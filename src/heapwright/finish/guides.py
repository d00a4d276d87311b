"""The tables of the finish: limits, guided tests, uses, and kinds of material that ask for more.

Knows how the rows become types. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

from heapwright.finish.types import Aspect, Guide, Procedure, Risks, Use
from heapwright.tables import Estimate, Evidence, parameter_table, read_rows, read_toml

PACKAGE = "heapwright.finish"


def limits() -> Mapping[str, Estimate]:
    """Return the limits of the tests and what a finished heap is like, by id."""
    return parameter_table(PACKAGE, "data/thresholds.csv")


@cache
def load_guides() -> Mapping[Procedure, Guide]:
    """Return every guided test, in the order they are worth doing."""
    told = read_toml(PACKAGE, "data/procedures.toml")
    return {Procedure(key): _guide(Procedure(key), row) for key, row in told.items()}


def _guide(procedure: Procedure, row: Mapping[str, object]) -> Guide:
    rest = dict(row)
    low, high = _list(rest.pop("wait_days"))
    many = {name: tuple(_list(rest.pop(name))) for name in ("needs", "steps", "cautions")}
    return Guide(
        procedure=procedure,
        name=str(rest["name"]),
        aspect=Aspect(str(rest["aspect"])),
        work_minutes=float(str(rest["work_minutes"])),
        wait_days=(float(low), float(high)),
        tells=str(rest["tells"]),
        passes=str(rest["passes"]),
        source=str(rest["source"]),
        place=str(rest["place"]),
        evidence=Evidence(str(rest["evidence"])),
        note=str(rest.get("note", "")),
        **many,
    )


def _list(value: object) -> list[str]:
    return [str(one) for one in value] if isinstance(value, list) else []


@cache
def load_uses() -> tuple[Use, ...]:
    """Return what compost may be used for, the least demanding first."""
    return tuple(
        Use(
            id=row["id"],
            name=row["name"],
            stability=int(row["stability"]),
            maturity=int(row["maturity"]),
            asks_curing=row["curing"] == "yes",
            is_near_broadleaf=row["broadleaf"] == "yes",
            how=row["how"],
            source=row["source"],
            place=row["place"],
            evidence=Evidence(row["evidence"]),
        )
        for row in read_rows(PACKAGE, "data/uses.csv")
    )


def risks_of(materials: Iterable[str] | None) -> Risks:
    """Return what the materials of a heap ask for.

    Parameters
    ----------
    materials : iterable of str or None
        Their keys and kinds; None when nobody knows what went in.

    """
    if materials is None:
        return Risks(None, None)
    there = set(materials)
    rows = list(read_rows(PACKAGE, "data/risky_kinds.csv"))
    risky = {row["risk"] for row in rows if row["of"] in there}
    return Risks("weedkiller" in risky, "manure" in risky)
