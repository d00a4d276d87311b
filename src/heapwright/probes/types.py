"""What a board reports, before anyone has judged it.

Knows names and units. Holds no rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Report:
    """One reading as a board tells it.

    Attributes
    ----------
    temperature_c : float
        [°C]
    at : datetime or None
        By the board's own clock, timezone-aware; None when it says `ago_s` instead.
    ago_s : float or None
        How long before sending it was taken; None when it says `at`. Neither: just now. [s]
    depth_m : float or None
        Of the tip, when it differs from the probe's own. [m]
    own_id : str
        The board's own name for this reading, "" when it gives none.

    """

    temperature_c: float
    at: datetime | None = None
    ago_s: float | None = None
    depth_m: float | None = None
    own_id: str = ""

    @property
    def has_time(self) -> bool:
        """Whether the board says when it was, and not only "now"."""
        return self.at is not None or self.ago_s is not None


@dataclass(frozen=True, slots=True)
class Heard:
    """One stored reading of a probe, for judging how the probe is.

    Attributes
    ----------
    at : datetime
        When it was taken.
    heard_at : datetime
        When it arrived.
    temperature_c : float
        [°C]

    """

    at: datetime
    heard_at: datetime
    temperature_c: float
