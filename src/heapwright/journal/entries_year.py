"""What the journal knows of the year: site, beds, what arrives in its season, who is away, wishes.

Knows the states these entries fold to. Knows nothing of plans: those are worked out, never kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

Three = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class BedState:
    """A place that compost is wanted for.

    Attributes
    ----------
    key, name : str
    use : str
        One of `forms_year.BED_USES`.
    area_m2 : float or None
    volume_m3 : float or None
        Of potting mix, where it is no bed with an area. One of the two is given.
    due : date
        When the compost should lie on it, for the first time if it comes every year.
    every_year : bool
    depth_m : float or None
        The person's own depth; None takes the advised one.
    weight : int
        1 can wait, 2 usual, 3 first of all.
    phosphorus : str
        "unknown", "low" or "high" by a soil test.
    salt_sensitive, raw_harvest : bool
        Whether salt-sensitive plants grow there; whether what grows there is eaten raw.
    in_use : bool

    """

    key: str
    name: str
    use: str
    due: date
    area_m2: float | None = None
    volume_m3: float | None = None
    every_year: bool = True
    depth_m: float | None = None
    weight: int = 2
    phosphorus: str = "unknown"
    salt_sensitive: bool = False
    raw_harvest: bool = False
    in_use: bool = True


@dataclass(frozen=True, slots=True)
class ArrivalState:
    """A material that comes in by itself in its season.

    Attributes
    ----------
    key, material_key : str
    volume_m3_week : (low, typical, high)
        As it comes, in a week of its season. [m³/week]
    from_day, to_day : str
        "MM-DD", both within the season; a season may run over New Year.
    packing : str
    keeps_days : (low, typical, high) or None
        How long this person can keep it; None takes the material's own. [d]
    container_name : str
        What it is counted in, "" for none.
    container_volume_m3 : float or None
    in_use : bool

    """

    key: str
    material_key: str
    volume_m3_week: Three
    from_day: str
    to_day: str
    packing: str = "loose"
    keeps_days: Three | None = None
    container_name: str = ""
    container_volume_m3: float | None = None
    in_use: bool = True


@dataclass(frozen=True, slots=True)
class AwayState:
    """Days on which nobody works at the heaps, both ends among them."""

    key: str
    from_date: date
    to_date: date
    why: str = ""
    in_use: bool = True


@dataclass(frozen=True, slots=True)
class SpreadState:
    """What was put on a bed, when.

    Attributes
    ----------
    entry_id : str
    bed_key : str
    at : datetime
    volume_m3 : float or None
        None when a heap was used up on it and nobody said how much that was. [m³]
    what : str
        One of `forms_year.SPREADS`.
    batch_key : str or None
        The heap it came from, when it came straight out of a bin.

    """

    entry_id: str
    bed_key: str
    at: datetime
    volume_m3: float | None
    what: str
    batch_key: str | None = None


@dataclass(frozen=True, slots=True)
class WishesState:
    """How this person wants to work through the year.

    Attributes
    ----------
    work_days : tuple of str
        Of `forms_year.WEEK_DAYS`.
    loads_per_week : float
        The most barrow loads moved in a week.
    sureness : float
        Share of the years in which a stage should be done by the week planned for it.
    batches_most : int
        The most heaps built in a year.
    gather_weeks : int
        Over how many weeks a heap may be filled, greens laid in with brown as they come; 0 builds
        it at once.
    shredding : bool
        Whether leaves and stalks are shredded or mown before they go in.
    leaf_store_m3 : float or None
        Room for saved leaves; None where there is enough. [m³]
    water_price_m3, compost_price_m3 : float or None
        In the person's own money.
    currency : str

    """

    work_days: tuple[str, ...] = ("sat", "sun")
    loads_per_week: float = 12.0
    sureness: float = 0.8
    batches_most: int = 12
    gather_weeks: int = 4
    shredding: bool = False
    leaf_store_m3: float | None = None
    water_price_m3: float | None = None
    compost_price_m3: float | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class YearState:
    """Everything the journal says of the year.

    Attributes
    ----------
    site : mapping
        The fields of a `site` entry that were said, SI units.
    beds, arrivals, aways : mapping key -> state
        Those taken away too.
    wishes : WishesState
    has_wishes : bool
        Whether any was ever said.
    spreads : tuple of SpreadState
        In order of time, from bins and from elsewhere.
    store_m3 : float
        Finished compost put by outside the bins and not spread yet. [m³]

    """

    site: Mapping[str, Any] = field(default_factory=dict)
    beds: Mapping[str, BedState] = field(default_factory=dict)
    arrivals: Mapping[str, ArrivalState] = field(default_factory=dict)
    aways: Mapping[str, AwayState] = field(default_factory=dict)
    wishes: WishesState = field(default_factory=WishesState)
    has_wishes: bool = False
    spreads: tuple[SpreadState, ...] = ()
    store_m3: float = 0.0

    @property
    def beds_in_use(self) -> Mapping[str, BedState]:
        """The beds that still want compost, by date."""
        there = sorted(self.beds.values(), key=lambda one: (one.due, one.key))
        return {one.key: one for one in there if one.in_use}

    @property
    def arrivals_in_use(self) -> Mapping[str, ArrivalState]:
        """What still arrives."""
        return {key: one for key, one in self.arrivals.items() if one.in_use}
