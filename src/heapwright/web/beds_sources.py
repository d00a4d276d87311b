"""The published depths, row by row with their sources, for the table on the page of beds.

Knows which rows are shown. Knows nothing of a bed.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.garden.beds_types import POTTING_MIX
from heapwright.garden.tables import depths, row_of
from heapwright.journal.forms_year import BED_USES
from heapwright.sources import describe
from heapwright.tables import Estimate


@dataclass(frozen=True, slots=True)
class DepthRow:
    """A use with its published depth, or its share of a mix."""

    use: str
    depth_m: Estimate | None
    share: Estimate | None
    source: str


def depth_rows() -> tuple[DepthRow, ...]:
    """Return the published depths by use."""
    found = []
    for use in BED_USES:
        if use == POTTING_MIX:
            share = depths()["potting_mix_share"]
            found.append(DepthRow(use, None, share, describe(share.source)))
        else:
            depth = depths()[row_of(use, "m")]
            found.append(DepthRow(use, depth, None, describe(depth.source)))
    return tuple(found)
