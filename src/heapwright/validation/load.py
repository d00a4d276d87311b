"""Reads the measured cases that ship with the program.

Knows the form of the files in `cases/`, and how a fill told as parts of materials becomes numbers
through the materials table. Knows nothing of running or judging them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from heapwright.errors import NotFound, NotUnderstood
from heapwright.heap.types import ActionKind, BinShape, Cover, Fill, Ground, HeapAction, Wall
from heapwright.materials.table import load_materials
from heapwright.mixing.balance import mix
from heapwright.mixing.types import Part
from heapwright.tables import parameter_table, read_toml
from heapwright.validation.climate import case_weather
from heapwright.validation.measures import QUANTITIES, usual_tolerance
from heapwright.validation.types import Case, CaseRun, Check, Probe, Sense

PACKAGE = "heapwright.validation"
#: One file for each part of the collection: series of readings, size and container, losses.
FILES = ("cases/series.toml", "cases/size.toml", "cases/losses.toml")
_DAY = 24.0
#: Kinds of material that lie otherwise in a heap than leaves and greens (rows of `density.csv`).
_CLASS = {
    **dict.fromkeys(
        ("food", "produce", "starch", "grounds", "manure", "litter", "meal", "flesh"), "rich"
    ),
    **dict.fromkeys(("wood", "sawdust"), "woody"),
    **dict.fromkeys(("compost", "leaf mould"), "rotted"),
}


@cache
def load_cases() -> tuple[Case, ...]:
    """Return every case in its order.

    Raises
    ------
    NotUnderstood
        If a file tells of something unknown.

    """
    return tuple(
        _case(key, told) for name in FILES for key, told in read_toml(PACKAGE, name).items()
    )


def find_case(key: str) -> Case:
    """Return the case of this id.

    Raises
    ------
    NotFound

    """
    for case in load_cases():
        if case.id.casefold() == key.casefold():
            return case
    raise NotFound(
        f"There is no case {key!r}", instead=f"They run from {_ends()}", kept="Nothing was run."
    )


def _ends() -> str:
    ids = [case.id for case in load_cases()]
    return f"{ids[0]} to {ids[-1]}"


def _case(key: str, told: Mapping[str, Any]) -> Case:
    runs = _runs(key, told.get("runs", {}))
    return Case(
        id=key,
        title=told["title"],
        source=told["source"],
        grade=told["grade"],
        runs=runs,
        checks=tuple(_check(key, runs, check) for check in told.get("checks", ())),
        assumed=tuple(told.get("assumed", ())),
        not_tested=told.get("not_tested", ""),
    )


def _runs(key: str, told: Mapping[str, Any]) -> dict[str, CaseRun]:
    whole: dict[str, dict[str, Any]] = {}
    for name, run in told.items():
        like = whole.get(run.get("like", ""), {})
        if "like" in run and not like:
            raise NotUnderstood(
                f"Case {key}: run {name!r} is like a run that is not told before it"
            )
        whole[name] = _overlaid(like, {k: v for k, v in run.items() if k != "like"})
    return {name: _run(f"{key} {name}", name, run) for name, run in whole.items()}


def _overlaid(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """Return one run's words laid over another's, table by table."""
    out = dict(under)
    for part, told in over.items():
        both = isinstance(told, dict) and isinstance(out.get(part), dict)
        out[part] = {**out[part], **told} if both else told
    return out


def _run(place: str, name: str, told: Mapping[str, Any]) -> CaseRun:
    known = {"bin", "fill", "weather", "actions", "probe", "readings"}
    if strange := set(told) - known:
        raise NotUnderstood(f"Case {place}: no {sorted(strange)[0]!r} is known")
    weather = case_weather(told["weather"])
    days = weather.hours / _DAY
    actions = [a for action in told.get("actions", ()) for a in _actions(place, action, days)]
    return CaseRun(
        name=name,
        shape=_shape(told["bin"]),
        fill=_fill(place, told["fill"]),
        weather=weather,
        actions=tuple(sorted(actions, key=lambda action: action.hour)),
        probe=Probe(**told.get("probe", {})),
        readings=tuple((float(day), float(c)) for day, c in told.get("readings", ())),
    )


def _shape(told: Mapping[str, Any]) -> BinShape:
    return BinShape(
        width_m=float(told["width_m"]),
        depth_m=float(told["depth_m"]),
        height_m=float(told["height_m"]),
        wall=Wall(told["wall"]),
        cover=Cover(told["cover"]),
        shade=float(told.get("shade", 0.0)),
        ground=Ground(told.get("ground", Ground.COARSE.value)),
    )


def _fill(place: str, told: Mapping[str, Any]) -> Fill:
    """Return a fill told as parts of materials, by wet mass as they come, and what is known of it.

    `moisture` is of the heap as built, after wetting; `rotted` the shares of the fast and the
    medium pool already gone; `c_to_n` outranks that of the parts and `density_kg_m3` the usual one.
    """
    known = {
        "parts",
        "moisture",
        "density_kg_m3",
        "volume_m3",
        "temperature_c",
        "rotted",
        "c_to_n",
    }
    if strange := set(told) - known:
        raise NotUnderstood(f"Case {place}: a fill knows no {sorted(strange)[0]!r}")
    mixture = mix(_parts(told["parts"]))
    moisture, gone = float(told["moisture"]), told.get("rotted", {})
    usual = usual_dry_density_kg_m3(told["parts"]) / (1.0 - moisture)
    return Fill(
        wet_mass_kg=float(told.get("density_kg_m3", usual)) * float(told["volume_m3"]),
        moisture=moisture,
        volume_m3=float(told["volume_m3"]),
        ash_dry=mixture.ash_kg / mixture.dry_mass_kg,
        fast_share=(1.0 - float(gone.get("fast", 0.0))) * mixture.fast_share,
        medium_share=(1.0 - float(gone.get("medium", 0.0))) * mixture.medium_share,
        c_to_n=float(told.get("c_to_n", mixture.c_to_n)),
        temperature_c=told.get("temperature_c"),
    )


def usual_dry_density_kg_m3(parts: Mapping[str, float]) -> float:
    """Return the dry matter per volume that a mixture of these parts has in a new heap.

    By the table `density.csv`, in proportion to the parts' loose volumes. [kg m⁻³]
    """
    materials, table = load_materials(), parameter_table(PACKAGE, "cases/density.csv")
    loose = {
        key: float(kg) / materials[key].bulk_density_kg_m3.typical for key, kg in parts.items()
    }
    dry = {key: table[_CLASS.get(materials[key].kind, "leafy")].typical for key in parts}
    return sum(loose[key] * dry[key] for key in parts) / sum(loose.values())


def _parts(parts: Mapping[str, float]) -> list[Part]:
    materials = load_materials()
    return [
        Part(
            name=key,
            mass_kg=float(mass),
            moisture=materials[key].moisture.typical,
            nitrogen_dry=materials[key].nitrogen_dry.typical,
            carbon_dry=materials[key].carbon_dry.typical,
            ash_dry=materials[key].ash_dry.typical,
            fast_share=materials[key].fast_share.typical,
            medium_share=materials[key].medium_share.typical,
        )
        for key, mass in parts.items()
    ]


def _actions(place: str, told: Mapping[str, Any], days: float) -> list[HeapAction]:
    """Return an action on one day, or one that comes back every so many days."""
    known = {"day", "every_days", "to_day", "kind", "water_kg", "fill", "cover"}
    if strange := set(told) - known:
        raise NotUnderstood(f"Case {place}: an action knows no {sorted(strange)[0]!r}")
    return [
        HeapAction(
            hour=_DAY * day,
            kind=ActionKind(told["kind"]),
            water_kg=float(told.get("water_kg", 0.0)),
            fill=_fill(place, told["fill"]) if "fill" in told else None,
            cover=Cover(told["cover"]) if "cover" in told else None,
        )
        for day in _days(told, days)
    ]


def _days(told: Mapping[str, Any], days: float) -> Sequence[float]:
    first, every = float(told["day"]), told.get("every_days")
    if every is None:
        return [first]
    last = min(float(told.get("to_day", days)), days - 1.0 / _DAY)
    return [first + k * float(every) for k in range(int((last - first) / float(every)) + 1)]


def _check(key: str, runs: Mapping[str, CaseRun], told: Mapping[str, Any]) -> Check:
    known = {
        "quantity",
        "run",
        "against",
        "measured",
        "low",
        "high",
        "tolerance",
        "sense",
        "at",
        "counts",
        "must_not_heat",
        "said",
        "missed",
    }
    if strange := set(told) - known:
        raise NotUnderstood(f"Case {key}: a check knows no {sorted(strange)[0]!r}")
    if told["quantity"] not in QUANTITIES:
        raise NotUnderstood(f"Case {key}: no quantity {told['quantity']!r} is known")
    for name in filter(None, (told["run"], told.get("against"))):
        if name not in runs:
            raise NotUnderstood(f"Case {key}: a check names the run {name!r}, which is not told")
    low = float(told.get("low", told.get("measured", 0.0)))
    high = float(told.get("high", told.get("measured", low)))
    tolerance = told.get("tolerance", usual_tolerance(told["quantity"], low, high))
    return Check(
        quantity=told["quantity"],
        run=told["run"],
        low=low,
        high=high,
        tolerance=float(tolerance),
        sense=Sense(told.get("sense", "about")),
        against=told.get("against"),
        places={name: float(value) for name, value in told.get("at", {}).items()},
        counts=bool(told.get("counts", True)),
        must_not_heat=bool(told.get("must_not_heat", False)),
        said=told.get("said", ""),
        missed=told.get("missed", ""),
    )
