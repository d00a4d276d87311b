"""Draws what the model's thermometer reads in a case against what was read, as an SVG picture.

Knows lines and places on paper. Everything is told apart by shape as well as by shade, so that the
picture reads in print and without colour. Knows nothing of passing or missing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor

from heapwright.heap.types import ActionKind, FloatArray, HeapRun
from heapwright.validation.measures import HOT_C, probe_readings
from heapwright.validation.types import CaseResult, CaseRun

_WIDTH, _HEIGHT = 720.0, 360.0
_LEFT, _RIGHT, _ABOVE, _BELOW = 48.0, 14.0, 44.0, 44.0
#: The measured thermometers are good to some 6 °C (the tolerance of a peak): drawn as a bar.
_BAR_C = 6.0
_HOUR = 1.0 / 24.0
_DASHES = ("", "7 4", "2 3", "10 3 2 3")
_SIGNS = {
    ActionKind.STIR: "turned",
    ActionKind.MOVE: "moved",
    ActionKind.WET: "watered",
    ActionKind.ADD: "added",
    ActionKind.COVER: "covered",
}


@dataclass(frozen=True, slots=True)
class _Paper:
    """Where days and degrees lie on the paper."""

    days: float
    low_c: float
    high_c: float

    def x(self, day: float) -> float:
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * day / self.days

    def y(self, celsius: float) -> float:
        span = _HEIGHT - _ABOVE - _BELOW
        return _ABOVE + span * (self.high_c - celsius) / (self.high_c - self.low_c)


def draw_case(result: CaseResult) -> str:
    """Return an SVG picture of a case's runs: model as lines, readings as bars, actions as ticks.

    Raises
    ------
    KeyError
        When the case was not run.

    """
    told, runs = result.case.runs, result.runs
    paper = _paper(told, runs)
    first = next(iter(told))
    parts = [
        _open(result),
        _grid(paper),
        _line(paper, _air(told[first]), "air", "1 3", 1.0),
        *(
            _line(paper, probe_readings(told[name], runs[name]), name, _dash(place), 2.0)
            for place, name in enumerate(told)
        ),
        *(
            _reading(paper, day, c, place)
            for place, run in enumerate(told.values())
            for day, c in run.readings
        ),
        *_actions(paper, told[first]),
        _key(result),
        "</svg>",
    ]
    return "\n".join(part for part in parts if part)


def _dash(place: int) -> str:
    return _DASHES[place % len(_DASHES)]


def _paper(told: Mapping[str, CaseRun], runs: Mapping[str, HeapRun]) -> _Paper:
    drawn = [float(c) for name in told for c in probe_readings(told[name], runs[name])]
    drawn += [c + _BAR_C for run in told.values() for _, c in run.readings] + [HOT_C]
    drawn += [float(c) for run in told.values() for c in run.weather.temperature_c]
    days = max(run.hours for run in runs.values()) * _HOUR
    return _Paper(days, 10.0 * floor((min(drawn) - 2.0) / 10.0), 10.0 * ceil(max(drawn) / 10.0))


def _open(result: CaseResult) -> str:
    title = escape(f"{result.case.id}: {result.case.title}")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:g} {_HEIGHT:g}" '
        f'role="img" font-family="sans-serif" font-size="12">\n'
        f"<title>{title}</title>\n<desc>{escape(_told(result))}</desc>\n"
        f'<rect width="{_WIDTH:g}" height="{_HEIGHT:g}" fill="#fff"/>\n'
        f'<text x="{_LEFT:g}" y="18" font-size="14" font-weight="bold">{title}</text>'
    )


def _told(result: CaseResult) -> str:
    """Return the picture in words: peaks of the model's lines, and the readings."""
    peaks = [
        f"{name} peaks at {float(probe_readings(told, result.runs[name]).max()):.0f} °C"
        for name, told in result.case.runs.items()
    ]
    read = [
        f"{c:.0f} °C on day {day:g}" for run in result.case.runs.values() for day, c in run.readings
    ]
    return f"Model: {', '.join(peaks)}. Read: {', '.join(read) or 'no series'}."


def _grid(paper: _Paper) -> str:
    lines = []
    for c in range(int(paper.low_c), int(paper.high_c) + 1, 10):
        y = paper.y(c)
        lines.append(
            f'<path d="M{_LEFT:g} {y:.1f}H{_WIDTH - _RIGHT:g}" stroke="#ddd"/>'
            f'<text x="{_LEFT - 6:g}" y="{y + 4:.1f}" text-anchor="end">{c}</text>'
        )
    for day in _days(paper.days):
        x = paper.x(day)
        lines.append(
            f'<text x="{x:.1f}" y="{_HEIGHT - _BELOW + 16:g}" text-anchor="middle">{day:g}</text>'
        )
    hot = paper.y(HOT_C)
    lines.append(f'<path d="M{_LEFT:g} {hot:.1f}H{_WIDTH - _RIGHT:g}" stroke="#777"/>')
    lines.append(
        f'<text x="{_WIDTH - _RIGHT:g}" y="{hot - 4:.1f}" text-anchor="end">55 °C</text>'
        f'<text x="{_LEFT - 6:g}" y="{_ABOVE - 10:g}" text-anchor="end">°C</text>'
    )
    return "\n".join(lines)


def _days(days: float) -> list[float]:
    step = next((s for s in (1, 2, 5, 7, 14, 30, 60, 100) if days / s <= 16), 100)
    return [float(day) for day in range(0, int(days) + 1, step)]


def _air(told: CaseRun) -> FloatArray:
    return told.weather.temperature_c


def _line(paper: _Paper, values: FloatArray, name: str, dash: str, width: float) -> str:
    """Return one line of hourly values, thinned so that no more is drawn than is seen."""
    thinned = range(0, len(values), max(1, len(values) // 600))
    points = " ".join(f"{paper.x(i * _HOUR):.1f},{paper.y(float(values[i])):.1f}" for i in thinned)
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<polyline points="{points}" fill="none" stroke="#111" stroke-width="{width:g}"{dashes}>'
        f"<title>{escape(name)}</title></polyline>"
    )


def _reading(paper: _Paper, day: float, celsius: float, place: int) -> str:
    """Return a reading with its bar: a ring for the first run, a square for the others."""
    x, y = paper.x(day), paper.y(celsius)
    top, foot = paper.y(celsius + _BAR_C), paper.y(celsius - _BAR_C)
    sign = (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4"'
        if place == 0
        else f'<rect x="{x - 4:.1f}" y="{y - 4:.1f}" width="8" height="8"'
    )
    return (
        f'<path d="M{x:.1f} {top:.1f}V{foot:.1f}" stroke="#c33" stroke-width="1.5"/>'
        f'{sign} fill="#fff" stroke="#c33" stroke-width="2"><title>{celsius:g} °C on day '
        f"{day:g}</title></{'circle' if place == 0 else 'rect'}>"
    )


def _actions(paper: _Paper, told: CaseRun) -> list[str]:
    drawn = []
    foot = _HEIGHT - _BELOW
    for action in told.actions:
        x = paper.x(action.hour * _HOUR)
        drawn.append(
            f'<path d="M{x:.1f} {foot:g}v-7" stroke="#111" stroke-width="2">'
            f"<title>{_SIGNS[action.kind]} on day {action.hour * _HOUR:g}</title></path>"
        )
    return drawn


def _key(result: CaseResult) -> str:
    """Return the key: one short sample and word for each kind of mark."""
    samples = [(name, _dash(place), 2.0) for place, name in enumerate(result.case.runs)]
    samples.append(("air", "1 3", 1.0))
    parts, x, y = [], _LEFT, 34.0
    for name, dash, width in samples:
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        parts.append(
            f'<path d="M{x:g} {y - 4:g}h26" stroke="#111" stroke-width="{width:g}"{dashes}/>'
            f'<text x="{x + 31:g}" y="{y:g}">{escape(name)}</text>'
        )
        x += 45.0 + 7.0 * len(name)
    parts.append(
        f'<circle cx="{x + 6:g}" cy="{y - 4:g}" r="4" fill="#fff" stroke="#c33" stroke-width="2"/>'
        f'<text x="{x + 15:g}" y="{y:g}">read, ± 6 °C; ticks below: turned, watered, added; '
        f"days</text>"
    )
    return "\n".join(parts)


def drawable(results: Sequence[CaseResult]) -> list[CaseResult]:
    """Return the cases with a series of readings, which are worth a picture."""
    return [
        result
        for result in results
        if result.tested and any(run.readings for run in result.case.runs.values())
    ]
