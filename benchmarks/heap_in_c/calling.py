"""Compiles the hand-written C loop and calls it, for the benchmark alone.

Knows where the loop's names come from (the kernel's own records, so that the two cannot drift
apart), how it is compiled and how it is called. Knows nothing of time or of what is right.
"""

from __future__ import annotations

import ctypes
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from heapwright.heap import layout
from heapwright.heap.parameters import PARAMETER_IDS
from heapwright.heap.state import HeapState
from heapwright.heap.types import FloatArray

FOLDER = Path(__file__).resolve().parent
COMPILERS = ("gcc", "clang", "cc")
FLAGS = ("-std=c99", "-D_GNU_SOURCE", "-O3", "-march=native", "-ffast-math")

_CELL_FIELDS = (
    "TEMPERATURE", "WATER", "FAST", "MEDIUM", "SLOW", "ASH", "NITROGEN", "BUILD_UP", "HOT_HOURS",
    "WAITING_HOURS", "MET_SHARE", "OXYGEN", "NITROGEN_FACTOR", "AMMONIUM", "CELL_FIELDS",
)  # fmt: skip
_WEATHER = ("AIR_C", "HUMIDITY", "WIND", "RAIN", "SUN", "SOIL_C", "WEATHER_COLUMNS")
_SHARES = ("RING_GRADING", "LEVEL_GRADING", "CORE_RADIUS", "CORE_HALF_HEIGHT")


def names_header() -> str:
    """Return `names.h`: records, places and grid as the kernel has them."""
    traces = tuple(name for name in vars(layout) if name.startswith("TRACE_"))
    places = {name: getattr(layout, name) for name in (*_CELL_FIELDS, *_WEATHER, *traces)}
    places |= {"RADII": layout.USUAL_RADII, "HEIGHTS": layout.USUAL_HEIGHTS}
    lines = [
        _record("parameters", PARAMETER_IDS),
        _record("site", layout.SITE_DTYPE.names or ()),
        _record("book", layout.BOOK_DTYPE.names or ()),
        "enum { " + ", ".join(f"{name} = {value}" for name, value in places.items()) + " };",
        *(f"#define {name} {getattr(layout, name)!r}" for name in _SHARES),
    ]
    return "\n".join(lines) + "\n"


def _record(title: str, names: Sequence[str]) -> str:
    return f"struct {title} {{ double {', '.join(names)}; }};"


def find_compiler() -> str | None:
    """Return the path of the first C compiler there is."""
    return next((found for name in COMPILERS if (found := shutil.which(name))), None)


def version_of(compiler: str) -> str:
    """Return the first line the compiler says about itself."""
    said = subprocess.run([compiler, "--version"], capture_output=True, text=True, check=True)
    return said.stdout.splitlines()[0]


class LoopInC:
    """The compiled loop, in a folder that the caller keeps as long as this is used."""

    def __init__(self, compiler: str, folder: Path) -> None:
        (folder / "names.h").write_text(names_header(), encoding="utf-8")
        library = folder / "heap.so"
        command = [compiler, *FLAGS, "-shared", "-fPIC", f"-I{folder}", "-o", str(library)]
        subprocess.run([*command, str(FOLDER / "heap.c"), "-lm"], check=True)
        self._run = ctypes.CDLL(str(library)).run_heap
        self._run.restype = None

    def run(
        self, state: HeapState, weather: FloatArray, probe: FloatArray, trace: FloatArray
    ) -> None:
        """Run the one member of `state` through all hours, at one step an hour, in place.

        `trace` (hours + 1, columns) is filled from its first row on.
        """
        arrays = (state.parameters, state.sites, state.books, state.cells, weather)
        for array in (*arrays, probe, trace):
            if not array.flags.c_contiguous:
                raise ValueError("The loop in C reads contiguous arrays only.")
        pointers = [ctypes.c_void_p(array.ctypes.data) for array in arrays]
        numbers = [ctypes.c_long(value) for value in (0, weather.shape[0], 1)]
        ends = [ctypes.c_void_p(array.ctypes.data) for array in (probe, trace)]
        self._run(*pointers, *numbers, *ends)


def empty_trace(hours: int) -> FloatArray:
    """Return room for the trace of one member."""
    return np.zeros((hours + 1, layout.TRACE_COLUMNS))
