"""Says why these containers were chosen, and which wish gave way, as a gardener would.

Knows a finished choice and its wishes. Chooses nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from heapwright.materials.types import Permission, Role
from heapwright.mixing.balance import mix
from heapwright.mixing.constants import choice
from heapwright.mixing.layers_plan import coarse_materials
from heapwright.mixing.lots import container_part
from heapwright.mixing.recipe_model import days_left
from heapwright.mixing.targets import target
from heapwright.mixing.types import GivenWay, Lot, MixtureRange, RecipeLine, Wishes
from heapwright.mixing.words import containers, high, joined, low
from heapwright.sentences import Measure, Value, say, word
from heapwright.wording import running, worded

#: A wish counts as met within this share of itself (the solver's own rounding).
_MET = 1e-5


def given_way(lines: Sequence[RecipeLine], water_kg: float, wishes: Wishes) -> tuple[GivenWay, ...]:
    """Return the wishes that whole containers and water do not meet, recomputed by balance."""
    mixture = mix([container_part(line.lot, line.count) for line in lines], water_kg)
    volume, density = mixture.volume_m3 or 0.0, mixture.bulk_density_kg_m3 or 0.0
    air = mixture.free_air_space or 0.0
    checks = (
        ("heap", wishes.volume_m3, volume, Measure.VOLUME),
        ("C:N", wishes.c_to_n, mixture.c_to_n, Measure.RATIO),
        ("moisture", wishes.moisture, mixture.moisture, Measure.SHARE),
        ("bulk density", wishes.bulk_density_kg_m3, density, None),
        ("air space", wishes.free_air_space, air, Measure.SHARE),
    )
    missed = []
    for name, wish, got, measure in checks:
        if got < wish.low * (1 - _MET):
            missed.append(_missed(worded("{name} at least", name=name), wish.low, got, measure))
        elif got > wish.high * (1 + _MET):
            missed.append(_missed(worded("{name} at most", name=name), wish.high, got, measure))
    return tuple(missed)


def reasons(
    lots: Sequence[Lot], lines: Sequence[RecipeLine], mixture: MixtureRange, wishes: Wishes
) -> tuple[str, ...]:
    """Return why these lots: what spoils first, what stays, what was left out."""
    taken = {id(line.lot): line.count for line in lines}
    # A fixed order: the order in which lots were typed must not show.
    known = sorted(lots, key=lambda lot: (lot.material.key, lot.key))
    found = [text for lot in known for text in _about_lot(lot, taken.get(id(lot), 0))]
    return (*found, *_about_ratio(mixture, wishes))


def _about_lot(lot: Lot, count: int) -> list[str]:
    name, left = low(lot.material.name), lot.count - count
    hazard = lot.material.hazard
    if hazard is not None and hazard.permission is Permission.REFUSED:
        return [
            running((worded("{name}: left out", name=high(name)), hazard.reason, hazard.instead))
        ]
    found = []
    if hazard is not None and hazard.permission is Permission.CONDITIONAL and count:
        found.append(
            running((worded("{name}: only on this condition", name=high(name)), hazard.instead))
        )
    if lot.material.role is Role.SUPPLEMENT and count:
        found.append(
            worded(
                "{name}: strong nitrogen, released quickly. Scatter it thinly over many layers "
                "and wet it at once; work outdoors, the ammonia irritates eyes and lungs.",
                name=high(name),
            )
        )
    spoils = days_left(lot) <= choice("spoils_soon_days")
    if spoils and count:
        found.append(
            worded(
                "{name}: {lot}, so {lot_2} in now.",
                name=high(name),
                lot=_how_long(lot),
                lot_2=_how_much(lot, count),
            )
        )
    if spoils and left > 0:
        found.append(
            worded(
                "{left} of {name} left over: spread it thin to dry, or use it within days.",
                left=high(containers(left, lot.container_name)),
                name=name,
            )
        )
    elif left > 0 and lot.material.role is Role.BROWN:
        found.append(
            worded(
                "{left} of {name} stays in reserve for the next heap."
                if left == 1
                else "{left} of {name} stay in reserve for the next heap.",
                left=high(containers(left, lot.container_name)),
                name=name,
            )
        )
    if left > 0 and count == 0 and lot.material.key in coarse_materials():
        found.append(
            worded(
                "{name}: coarse, so a hand's depth of it at the very bottom lets air in; it "
                "hardly counts in the mix.",
                name=high(name),
            )
        )
    return found


def _how_long(lot: Lot) -> str:
    days = days_left(lot)
    if days <= 0:
        return "past the time it keeps"
    return (
        worded("good for about {days:.0f} days more", days=days)
        if days >= 1.5
        else "good for about a day more"
    )


def _how_much(lot: Lot, count: int) -> str:
    if count < lot.count:
        return worded(
            "{count} of {all} goes" if count == 1 else "{count} of {all} go",
            count=count,
            all=containers(lot.count, lot.container_name),
        )
    taken = containers(count, lot.container_name)
    if count == 1:
        return worded("{taken} goes", taken=taken)
    return worded("all {taken} go", taken=taken)


def _about_ratio(mixture: MixtureRange, wishes: Wishes) -> list[str]:
    ideal = target("wish_c_to_n_ideal")
    ratio = mixture.c_to_n
    found: list[str] = []
    if not wishes.c_to_n.low <= ratio.typical <= wishes.c_to_n.high:
        return found
    if ratio.typical < ideal.low:
        found.append(
            worded(
                "C:N {typical:.0f} works but is on the green side: expect a quick heap and some "
                "ammonia; more brown would keep the nitrogen.",
                typical=ratio.typical,
            )
        )
    elif ratio.typical > ideal.high:
        found.append(
            worded(
                "C:N {typical:.0f} works but is on the brown side: expect a slower heap; "
                "something greener would heat it faster.",
                typical=ratio.typical,
            )
        )
    ends = [
        worded(template, end=end)
        for template, end, outside in (
            ("as low as {end:.0f}", ratio.low, ratio.low < wishes.c_to_n.low),
            ("as high as {end:.0f}", ratio.high, ratio.high > wishes.c_to_n.high),
        )
        if outside
    ]
    if ends:
        found.append(
            worded(
                "The table's values are uncertain: C:N could be {ends}. Watch for ammonia (too "
                "green) or a heap that stays cool (too brown).",
                ends=joined(ends, "or"),
            )
        )
    return found


def _missed(wish: str, wanted: float, got: float, measure: Measure | None) -> GivenWay:
    shown, unit = _SHOWN[measure](wanted)
    said = None
    if measure is not None:
        said = say(
            "{wish} {wanted} gives way: here it comes to {got}.",
            wish=word(high(wish)),
            wanted=Value(wanted, measure),
            got=Value(got, measure),
        )
    return GivenWay(f"{wish} {shown}", wanted, got, unit, said)


#: How a limit is shown in SI, and its unit; None stands for a bulk density.
_SHOWN: Mapping[Measure | None, Callable[[float], tuple[str, str]]] = {
    Measure.VOLUME: lambda x: (f"{x:.2f} m³", "m³"),
    Measure.RATIO: lambda x: (f"{x:.3g}", ""),
    Measure.SHARE: lambda x: (f"{x * 100:.0f} %", "share"),
    None: lambda x: (f"{x:.0f} kg/m³", "kg/m³"),
}
