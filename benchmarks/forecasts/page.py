"""Writes the forecasts' tables and reliability diagrams into the docs, from stored results.

Knows tables and pictures. Runs no heap.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from benchmarks.forecasts.forecasters import FIT_DAYS, LEAD_DAYS
from benchmarks.forecasts.scores import interval_of_mean

if TYPE_CHECKING:
    from benchmarks.forecasts.__main__ import Row

DOCS = Path(__file__).parents[2] / "docs"
PAGE, PICTURES = DOCS / "forecasts.md", DOCS / "pictures" / "forecasts"
VALIDATION = DOCS / "validation.md"
BAND = 0.8
SHARES = np.linspace(0.1, 0.9, 9)
BEGIN, END = "<!-- forecasts: hidden heaps -->", "<!-- end -->"
WAYS = ("fitted", "unfitted", "cooling curve", "persistence")


def table(rows: Sequence[Row]) -> str:
    """Return coverage and score of every way as a table in Markdown."""
    lines = [
        (
            "| way | days ahead | in the 80 % band (95 % interval) | CRPS, K (95 % interval) "
            "| mean miss, K | forecasts |"
        ),
        "| --- | ---: | ---: | ---: | ---: | ---: |",
    ]
    for way in WAYS:
        for lead in LEAD_DAYS:
            chosen = [row for row in rows if row.way == way and row.lead == lead]
            seeds = np.array([row.seed for row in chosen])
            inside = _inside(chosen, BAND).astype(float)
            scores = np.array([row.crps for row in chosen])
            misses = np.abs([row.mean_c - row.truth_c for row in chosen])
            low, high = interval_of_mean(inside, seeds, 1)
            best, worst = interval_of_mean(scores, seeds, 2)
            lines.append(
                f"| {way} | {lead} | {inside.mean():.1%} ({low:.1%} to {high:.1%}) "
                f"| {scores.mean():.2f} ({best:.2f} to {worst:.2f}) | {misses.mean():.1f} "
                f"| {len(chosen)} |"
            )
    return "\n".join(lines)


def gains(rows: Sequence[Row]) -> str:
    """Return how much lower the fitted model's score is, forecast by forecast."""
    lines = [
        "| days ahead | against unfitted | against cooling curve | against persistence |",
        "| ---: | ---: | ---: | ---: |",
    ]
    for lead in LEAD_DAYS:
        cells = []
        for way in WAYS[1:]:
            fitted = {(r.seed, r.day): r.crps for r in rows if r.way == "fitted" and r.lead == lead}
            other = {(r.seed, r.day): r.crps for r in rows if r.way == way and r.lead == lead}
            keys = sorted(fitted)
            gain = np.array([other[key] - fitted[key] for key in keys])
            low, high = interval_of_mean(gain, np.array([seed for seed, _ in keys]), 3)
            cells.append(f"{gain.mean():.2f} K ({low:.2f} to {high:.2f})")
        lines.append(f"| {lead} | {' | '.join(cells)} |")
    return "\n".join(lines)


def _inside(rows: Sequence[Row], share: float) -> np.ndarray:
    place = np.array([row.place for row in rows])
    return (place >= 0.5 - share / 2.0) & (place <= 0.5 + share / 2.0)


def reliability(rows: Sequence[Row], lead: int) -> str:
    """Return a reliability diagram as SVG: how wide the band, how often it held the truth."""
    size, margin = 300, 56

    def x(share: float) -> float:
        return margin + share * (size - margin - 12)

    def y(share: float) -> float:
        return size - margin - share * (size - margin - 12)

    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" role="img" '
            f'aria-label="How often a band held the truth, {lead} days ahead">'
        ),
        "<style>text{font:12px sans-serif;fill:#3b3a36}path{fill:none}</style>",
        f'<rect width="{size}" height="{size}" fill="#fbfaf7"/>',
    ]
    for tick in (0.0, 0.5, 1.0):
        parts.append(f'<path d="M{x(tick):.0f} {y(0):.0f}V{y(1):.0f}" stroke="#d8d4c8"/>')
        parts.append(f'<path d="M{x(0):.0f} {y(tick):.0f}H{x(1):.0f}" stroke="#d8d4c8"/>')
        parts.append(
            f'<text x="{x(tick):.0f}" y="{y(0) + 16:.0f}" text-anchor="middle">{tick:.0%}</text>'
        )
        parts.append(
            f'<text x="{x(0) - 6:.0f}" y="{y(tick) + 4:.0f}" text-anchor="end">{tick:.0%}</text>'
        )
    parts.append(
        f'<path d="M{x(0):.0f} {y(0):.0f}L{x(1):.0f} {y(1):.0f}" stroke="#8a867a" '
        'stroke-dasharray="4 4"/>'
    )
    for way, colour, dash, at in (
        ("unfitted", "#6a5590", "7 4", 0.08),
        ("fitted", "#9c3a12", "none", 0.2),
    ):
        chosen = [row for row in rows if row.way == way and row.lead == lead]
        held = [float(_inside(chosen, share).mean()) for share in SHARES]
        line = " ".join(f"{x(s):.1f},{y(h):.1f}" for s, h in zip(SHARES, held, strict=True))
        parts.append(
            f'<polyline points="{line}" fill="none" stroke="{colour}" stroke-width="2.5" '
            f'stroke-dasharray="{dash}"/>'
        )
        parts.append(
            f'<text x="{x(1):.0f}" y="{y(at):.0f}" text-anchor="end" '
            f'style="fill:{colour};font-weight:bold">{way}</text>'
        )
    parts.append(
        f'<text x="{size / 2:.0f}" y="{size - 6}" text-anchor="middle">share the band should hold, '
        f"{lead} days ahead</text>"
    )
    parts.append(
        f'<text transform="translate(14 {size / 2 - 20:.0f}) rotate(-90)" text-anchor="middle">'
        "share it held</text></svg>"
    )
    return "\n".join(parts) + "\n"


def in_validation(rows: Sequence[Row], text: str) -> str:
    """Return docs/validation.md with the tables renewed."""
    seeds = sorted({row.seed for row in rows})
    days = ", ".join(str(day) for day in FIT_DAYS)
    part = (
        f"Seeds {seeds[0]} to {seeds[-1]}, forecasts made {days} days after building.\n\n"
        f"{table(rows)}\n\nHow much lower the fitted model's score is, forecast by forecast "
        f"(95 % interval over heaps):\n\n{gains(rows)}"
    )
    return _between(text, part)


def with_pictures(rows: Sequence[Row], text: str) -> str:
    """Return docs/forecasts.md with its pictures renewed."""
    pictures = []
    for lead in LEAD_DAYS:
        held = [row for row in rows if row.way == "fitted" and row.lead == lead]
        told = f"{_inside(held, BAND).mean():.0%} of the truths lay in the 80 % band"
        pictures.append(
            f"### {lead} days ahead\n\n"
            f"![How often a band held the truth, {lead} days ahead: {told}]"
            f"(pictures/forecasts/reliability-{lead}-days.svg)\n\n{told}."
        )
    return _between(text, "\n\n".join(pictures))


def _between(text: str, part: str) -> str:
    before, rest = text.split(BEGIN)
    return f"{before}{BEGIN}\n\n{part}\n\n{END}{rest.split(END, 1)[1]}"


def write(rows: Sequence[Row]) -> None:
    """Renew the pages and the pictures."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    for lead in LEAD_DAYS:
        picture = PICTURES / f"reliability-{lead}-days.svg"
        picture.write_text(reliability(rows, lead), encoding="utf-8")
    for page, renewed in ((PAGE, with_pictures), (VALIDATION, in_validation)):
        page.write_text(renewed(rows, page.read_text(encoding="utf-8")), encoding="utf-8")
