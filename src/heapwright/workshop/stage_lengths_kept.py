"""Keeps stage lengths that were worked out beside the journal, under a mark of what they rest on.

What is kept is no truth: throw the file away and they are worked out anew. Knows the file; knows
nothing of how lengths come about.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from threading import get_ident

import numpy as np

from heapwright.season.stage_types import StageLengths

SUFFIX = ".stages.json"
#: So many answers are kept; the oldest are dropped.
_MOST_KEPT = 8
_ARRAYS = ("days", "volume_share", "water_kg", "stirs", "hottest_c")


def read(journal: Path, mark: str) -> StageLengths | None:
    """Return the lengths kept under a mark; None when there are none or the file is spoilt."""
    kept = _read(journal).get(mark)
    return None if kept is None else _lengths(kept)


def write(journal: Path, mark: str, run: StageLengths) -> None:
    """Keep lengths; where the file cannot be written they are simply not kept."""
    kept = _read(journal)
    kept[mark] = {name: getattr(run, name).tolist() for name in (*_ARRAYS, "weeks")}
    kept[mark]["built_m3"] = run.built_m3
    kept = dict(list(kept.items())[-_MOST_KEPT:])
    # Another name for each thread and program, so that none writes into what another moves.
    new = journal.with_suffix(f"{SUFFIX}.{os.getpid()}-{get_ident()}.new")
    try:
        new.write_text(json.dumps(kept), encoding="utf-8")
        os.replace(new, journal.with_suffix(SUFFIX))
    except OSError:
        new.unlink(missing_ok=True)


def _read(path: Path) -> dict[str, dict[str, object]]:
    try:
        kept = json.loads(path.with_suffix(SUFFIX).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return kept if isinstance(kept, dict) else {}


def _lengths(kept: dict[str, object]) -> StageLengths | None:
    """Return the lengths that were kept; None when they are not what they should be."""
    try:
        arrays = {name: np.array(kept[name], dtype=np.float64) for name in _ARRAYS}
        weeks = np.array(kept["weeks"], dtype=np.int64)
        built_m3 = float(str(kept["built_m3"]))
    except (KeyError, TypeError, ValueError):
        return None
    members = arrays["hottest_c"].shape[-1] if arrays["hottest_c"].ndim == 2 else 0
    firsts = {"days": 3, "volume_share": 4, "water_kg": 3, "stirs": 3}
    fits = all(arrays[name].shape == (n, weeks.size, members) for name, n in firsts.items())
    if not fits or not members or arrays["hottest_c"].shape[0] != weeks.size:
        return None
    return StageLengths(weeks=weeks, built_m3=built_m3, **arrays)
