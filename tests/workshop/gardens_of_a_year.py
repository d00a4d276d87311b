"""Three invented gardens with all that a year is planned from: hot dry, cold wet, a tiny yard.

They stand for nobody's garden. Numbers are the scenario's own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from pathlib import Path

from heapwright.journal.entries import EntryKind
from heapwright.workshop import setup
from heapwright.workshop.demo import fill_demo_garden
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from tests.workshop.conftest import NOW, StillClock

Filling = Callable[[Garden], None]


def hot_dry(garden: Garden) -> None:
    """The invented garden that everybody may look at: three bins in the desert."""
    fill_demo_garden(garden)


def cold_wet(garden: Garden) -> None:
    """Four bins where it freezes and rains, much lawn and many leaves."""
    setup.settings(garden, origin="page", name="North garden", climate="newark", units="metric")
    for name in ("One", "Two", "Three", "Four"):
        _bin(garden, name, 1.1)
    _arrives(garden, "lawn", "grass_clippings_loose", (0.15, 0.25, 0.4), "05-01", "09-30")
    _arrives(garden, "leaves", "leaves_mixed_dry", (0.5, 0.9, 1.4), "10-15", "11-30")
    _arrives(garden, "kitchen", "vegetable_scraps", (0.01, 0.015, 0.02), "01-01", "12-31")
    _bed(garden, "potatoes", 12.0, "2027-04-15", "top-up", 3)
    _bed(garden, "roses", 8.0, "2027-05-20", "mulch", 1)


def tiny_yard(garden: Garden) -> None:
    """Two bins behind a town house; little comes, and only on Sundays is there time."""
    setup.settings(garden, origin="page", name="Tiny yard", climate="seattle", units="us")
    for name in ("Left", "Right"):
        _bin(garden, name, 0.95)
    _arrives(garden, "kitchen", "vegetable_scraps", (0.01, 0.015, 0.02), "01-01", "12-31")
    _arrives(garden, "coffee", "coffee_grounds", (0.04, 0.07, 0.1), "01-01", "12-31")
    _arrives(garden, "street-leaves", "leaves_mixed_dry", (0.2, 0.35, 0.5), "10-15", "12-15")
    _bed(garden, "herbs", 2.0, "2027-04-01", "top-up", 2)
    body = {"work_days": ["sun"], "loads_per_week": 12.0}
    log(garden, EntryKind.WISHES, body, at=_before(30), origin="page")


GARDENS: Mapping[str, Filling] = {
    "hot dry": hot_dry,
    "cold wet": cold_wet,
    "tiny yard": tiny_yard,
}


def opened(name: str, folder: Path) -> Garden:
    """Return one of the gardens, open, at a June morning."""
    garden = Garden.open(folder / "garden.heapwright", StillClock(NOW))
    GARDENS[name](garden)
    return garden


def _before(days: float) -> datetime:
    return NOW - timedelta(days=days)


def _bin(garden: Garden, name: str, side_m: float) -> None:
    setup.save_bin(
        garden, name=name, origin="page", width_m=side_m, depth_m=side_m, height_m=side_m
    )


def _arrives(
    garden: Garden,
    key: str,
    material: str,
    volume_m3_week: tuple[float, float, float],
    from_day: str,
    to_day: str,
) -> None:
    body = {
        "key": key,
        "material_key": material,
        "volume_m3_week": list(volume_m3_week),
        "from_day": from_day,
        "to_day": to_day,
    }
    log(garden, EntryKind.ARRIVAL, body, at=_before(60), origin="page")


def _bed(garden: Garden, key: str, area_m2: float, due: str, use: str, weight: int) -> None:
    body = {
        "key": key,
        "name": key.capitalize(),
        "use": use,
        "area_m2": area_m2,
        "due": due,
        "weight": weight,
    }
    log(garden, EntryKind.BED, body, at=_before(60), origin="page")
