"""Reads the signs of a heap: what its readings, looks and model say, compared with the limits.

Knows the limits table and simple facts such as "was hot", "did not reheat". Decides nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from heapwright.advice.types import HeapView, TemperatureReading
from heapwright.tables import parameter_table

HOURS_A_DAY = 24.0


def limits() -> Mapping[str, float]:
    """Return the typical limits of the thresholds table, by id."""
    table = parameter_table("heapwright.advice", "data/thresholds.csv")
    return {name: estimate.typical for name, estimate in table.items()}


@dataclass(frozen=True, slots=True)
class Signs:
    """A heap's view with the facts the rules ask for.

    Attributes
    ----------
    limits : mapping
        Typical values of the thresholds table.
    last_reading : TemperatureReading or None
        The newest, however old.
    fresh_reading : TemperatureReading or None
        The newest if it still counts as today's: not too old, and taken since the last turn.
    peak_c : float
        Hottest reading of the batch; -inf without any.
    peak_since_work_c : float
        Hottest reading since it was built or last turned; -inf without any.
    days_since_worked : float
        Since it was built or last turned.
    last_work : str
        "built" or "turned".

    """

    view: HeapView
    limits: Mapping[str, float]
    last_reading: TemperatureReading | None
    fresh_reading: TemperatureReading | None
    peak_c: float
    peak_since_work_c: float
    days_since_worked: float
    last_work: str

    @property
    def was_hot(self) -> bool:
        """Whether any reading of this batch lay in the range of a hot heap."""
        return self.peak_c >= self.limits["leave_alone_low_c"]

    @property
    def did_not_reheat(self) -> bool:
        """Whether it was read since the last turn, long enough after, and never got hot."""
        return (
            self.days_since_worked >= self.limits["reheat_wait_days"]
            and self.peak_since_work_c > float("-inf")
            and self.peak_since_work_c < self.limits["leave_alone_low_c"]
        )

    @property
    def is_damp_by_hand(self) -> bool:
        """Whether a recent squeeze says that water is not short."""
        return self.view.squeeze in ("drops", "dripping")

    @property
    def model_says_dry(self) -> bool:
        """Whether the model has it dry and no hand contradicts."""
        moisture = self.view.moisture
        return (
            not self.is_damp_by_hand
            and moisture is not None
            and moisture.likely < self.limits["dry_moisture"]
        )

    @property
    def is_dry(self) -> bool:
        """Whether the hand or, failing that, the model says that it is dry."""
        return self.view.squeeze in ("dusty", "dry") or self.model_says_dry

    @property
    def model_says_much_left(self) -> bool:
        """Whether even the low end of the model has more food left than a spent heap."""
        left = self.view.degradable_left
        return left is not None and left.low > self.limits["spent_share"]

    @property
    def has_clear_look(self) -> bool:
        """Whether a recent look is enough to act on without a reading."""
        return self.view.squeeze in ("dusty", "dry")


def read_signs(view: HeapView) -> Signs:
    """Return the signs of a heap."""
    table = limits()
    last = view.readings[-1] if view.readings else None
    worked_hours = view.age_days * HOURS_A_DAY
    if view.hours_since_turn is not None:
        worked_hours = min(worked_hours, view.hours_since_turn)
    counts_hours = min(table["fresh_reading_hours"], worked_hours)
    fresh = last if last and last.hours_ago <= counts_hours else None
    since_work = [r.temperature_c for r in view.readings if r.hours_ago <= worked_hours]
    return Signs(
        view=view,
        limits=table,
        last_reading=last,
        fresh_reading=fresh,
        peak_c=max((r.temperature_c for r in view.readings), default=float("-inf")),
        peak_since_work_c=max(since_work, default=float("-inf")),
        days_since_worked=worked_hours / HOURS_A_DAY,
        last_work="turned" if view.hours_since_turn is not None else "built",
    )
