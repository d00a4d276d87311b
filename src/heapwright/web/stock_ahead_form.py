"""Reads the form of what arrives in its season, and shows one that is there in its fields.

Knows its fields. Knows nothing of pages or of storing.
"""

from __future__ import annotations

import calendar
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.journal.entries_year import ArrivalState
from heapwright.journal.forms_year import month_day
from heapwright.materials.types import Packing
from heapwright.quantities import UnitSystem, format_volume, parse_number
from heapwright.quantities.containers import Container
from heapwright.season.arrivals import Season
from heapwright.web.forms import Filled, within
from heapwright.web.stock_form import allowed_material, container_choices
from heapwright.wording import dated, worded
from heapwright.workshop.arrivals import Proposal, day_of_year, filled_m3
from heapwright.workshop.garden import Garden

Three = tuple[float, float, float]
_LEAP_YEAR = 2000
_MIDDLE = 15
#: Which container a proposal is counted in: the smallest of these of which a week fills a few.
_PROPOSED = ("5-gallon pail", "39 gal leaf bag")
_MANY = 6.0


def season_days(which: str, *also: str) -> list[tuple[str, str]]:
    """Return the days a season may begin ("from") or end ("to") on: two in each month.

    Parameters
    ----------
    which : {"from", "to"}
    *also : str
        Further days "MM-DD" that must be there.

    """
    found = set(also)
    for month in range(1, 13):
        last = calendar.monthrange(_LEAP_YEAR, month)[1]
        days = (1, _MIDDLE + 1) if which == "from" else (_MIDDLE, last)
        found |= {f"{month:02d}-{day:02d}" for day in days}
    return [(day, dated(day_of_year(day), "d MMMM")) for day in sorted(found)]


@dataclass(frozen=True, slots=True)
class ArrivalShown:
    """What stands in the fields of an arrival."""

    material: str
    container: str
    least: str
    likely: str
    most: str
    from_day: str
    to_day: str
    packing: str
    keeps: str


def read_arrival(form: Filled, garden: Garden) -> Mapping[str, Any] | None:
    """Return the arguments of `arrivals.add_arrival`; None when something is wrong."""
    name = "material_is" if form.text("material_is") else "material"
    material = form.need(name, "What it is", allowed_material, "such as coffee grounds")
    container = _container(form, garden)
    amounts = None if container is None else _amounts(form, garden, container)
    season = _season(form)
    keeps = form.read("keeps", "How long it keeps", _days)
    packing = form.one_of("packing", "Packing", Packing) or str(Packing.LOOSE)
    if form.problems or material is None or amounts is None or season is None:
        return None
    return {
        "material": material.key,
        "volume_m3_week": amounts,
        "season": season,
        "packing": packing,
        "keeps_days": keeps,
        "container": container,
    }


def _container(form: Filled, garden: Garden) -> Container | None:
    choices = {one.name: one for one in container_choices(garden)}
    chosen = choices.get(form.text("container"))
    if chosen is None:
        form.wrong("container", NotUnderstood("No container is chosen", instead="Choose one"))
    return chosen


def _amounts(form: Filled, garden: Garden, container: Container) -> Three | None:
    system = UnitSystem(garden.state().settings.units)

    def count(text: str) -> float:
        number = parse_number(text, what="How many")
        volume = within(
            "arrival_m3_week",
            "What comes in a week",
            number * filled_m3(container),
            lambda m3: format_volume(m3, system),
        )
        return volume / filled_m3(container)

    least = form.need("least", "At least", count, "how many come in a poor week, such as 1")
    most = form.need("most", "At most", count, "how many come in a good week, such as 3")
    likely = form.read("likely", "Likely", count)
    if least is None or most is None:
        return None
    middle = (least + most) / 2.0 if likely is None else likely
    if not least <= middle <= most or most <= 0:
        form.wrong(
            "most",
            OutOfRange(
                worded("{least:g} to {most:g} in a week", least=least, most=most),
                why="the most must not be less than the least, and more than none",
                instead="Give the poor week first, then the good one",
            ),
        )
        return None
    one = filled_m3(container)
    return least * one, middle * one, most * one


def _season(form: Filled) -> Season | None:
    first = form.need("from", "From", lambda text: month_day("From", text), "a day like 03-15")
    last = form.need("to", "To", lambda text: month_day("To", text), "a day like 10-31")
    return None if first is None or last is None else Season(first, last)


def _days(text: str) -> float:
    return within("keeps_days", "How long it keeps", parse_number(text), lambda n: f"{n:g}")


def shown(state: ArrivalState, material_name: str, garden: Garden) -> ArrivalShown:
    """Return what stands in the fields while an arrival is altered."""
    choices = {one.name: one for one in container_choices(garden)}
    container = choices.get(state.container_name) or _fitting(choices, state.volume_m3_week[1])
    least, likely, most = (f"{v / filled_m3(container):.3g}" for v in state.volume_m3_week)
    return ArrivalShown(
        material=material_name,
        container=container.name,
        least=least,
        likely=likely,
        most=most,
        from_day=state.from_day,
        to_day=state.to_day,
        packing=state.packing,
        keeps="" if state.keeps_days is None else f"{state.keeps_days[1]:g}",
    )


def shown_proposal(one: Proposal, garden: Garden) -> ArrivalShown:
    """Return a proposal as the form would send it."""
    choices = {choice.name: choice for choice in container_choices(garden)}
    container = _fitting(choices, one.volume_m3_week[1])
    least, likely, most = (f"{volume / filled_m3(container):.3g}" for volume in one.volume_m3_week)
    return ArrivalShown(
        material=one.material_key,
        container=container.name,
        least=least,
        likely=likely,
        most=most,
        from_day=one.season.from_day,
        to_day=one.season.to_day,
        packing=str(Packing.LOOSE),
        keeps="",
    )


def _fitting(choices: Mapping[str, Container], volume_m3: float) -> Container:
    small, large = (choices[name] for name in _PROPOSED)
    return small if volume_m3 / filled_m3(small) <= _MANY else large
