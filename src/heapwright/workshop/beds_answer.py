"""The typed answer to what the beds want, what they get and what is to be bought in.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from heapwright.garden.beds_types import Bed, Caution, Layer, Volume
from heapwright.garden.nitrogen import Nitrogen
from heapwright.sentences import Sentence


@dataclass(frozen=True, slots=True)
class ExpectedCompost:
    """Compost that is to be ready, in one lot.

    Attributes
    ----------
    on, on_late : date
        When it is likely ready, and when it surely is.
    volume_m3 : Volume
    name : str
        Of the heap it comes from.

    """

    on: date
    on_late: date
    volume_m3: Volume
    name: str


@dataclass(frozen=True, slots=True)
class SpreadLine:
    """What was put on a bed once; `volume_m3` is None when nobody said how much."""

    entry_id: str
    at: datetime
    volume_m3: float | None
    what: str
    batch_name: str


@dataclass(frozen=True, slots=True)
class WantedRound:
    """One round of a bed that is still to be served; what was laid for it is taken off."""

    key: str
    name: str
    due: date
    still_m3: Volume
    weight: int


@dataclass(frozen=True, slots=True)
class BedLine:
    """A bed as it stands.

    Attributes
    ----------
    bed : Bed
    due : date
        Of the round to be served next.
    days_left : int
        Negative when that date is past.
    layer : Layer
        What a whole round asks for.
    laid_m3 : float
        For this round. [m³]
    still_m3 : Volume
        What this round still wants.
    is_looked_ahead : bool
        Whether its date lies within the time that compost is shared out for; if not, `own_m3` and
        `buy_m3` are nothing.
    own_m3, buy_m3 : Volume
        What it gets of the own compost, and what is missing for the usual layer.
    nitrogen : Nitrogen
        Of the whole layer, in the first year. [kg]
    harvest_from : date or None
        After raw manure.
    how : Sentence
    told : tuple of Sentence
    cautions : tuple of Caution
    spreads : tuple of SpreadLine
        The newest first.

    """

    bed: Bed
    due: date
    days_left: int
    layer: Layer
    laid_m3: float
    still_m3: Volume
    is_looked_ahead: bool
    own_m3: Volume
    buy_m3: Volume
    nitrogen: Nitrogen
    harvest_from: date | None
    how: Sentence
    told: tuple[Sentence, ...]
    cautions: tuple[Caution, ...]
    spreads: tuple[SpreadLine, ...]


@dataclass(frozen=True, slots=True)
class Beds:
    """What all beds want, get and lack.

    Attributes
    ----------
    today, until : date
        Compost is shared out among the beds due by `until`.
    lines : tuple of BedLine
        By date.
    expected : tuple of ExpectedCompost
    store_m3 : float
        Put by. [m³]
    wanted_m3, own_m3, buy_m3 : Volume
        Of the beds due by `until`.
    sacks : (int, int, int)
        To buy in, in sacks of the table's size: at least, likely, at most.
    told : tuple of Sentence
    rule : Sentence
        By which it is shared out.
    cautions : tuple of Caution
        Of spreading.
    notes : tuple of Sentence
        Why something is not told.

    """

    today: date
    until: date
    lines: tuple[BedLine, ...]
    expected: tuple[ExpectedCompost, ...]
    store_m3: float
    wanted_m3: Volume
    own_m3: Volume
    buy_m3: Volume
    sacks: tuple[int, int, int]
    told: tuple[Sentence, ...]
    rule: Sentence
    cautions: tuple[Caution, ...]
    notes: tuple[Sentence, ...]
