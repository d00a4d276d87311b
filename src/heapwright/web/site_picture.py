"""Draws the floor plan of a site to scale, with its measures in the reader's units.

Knows where lines and numbers go. Knows nothing of how the bins were laid out.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.garden.site_types import FloorPlan, Rect
from heapwright.quantities import format_length
from heapwright.sentences import Reader

#: Units of the picture; text is 16 of them high, and the phone shows it about one to one.
_WIDEST, _TALLEST = 290.0, 420.0
_LEFT, _TOP, _MORE = 34.0, 30.0, 12.0


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of the picture."""

    x: float
    y: float
    width: float
    height: float
    label: str = ""

    @property
    def middle(self) -> tuple[float, float]:
        """Where a label goes."""
        return round(self.x + self.width / 2, 1), round(self.y + self.height / 2, 1)


@dataclass(frozen=True, slots=True)
class SitePicture:
    """The plan in units of the picture.

    Attributes
    ----------
    width, height : float
    place : Box
    bins : tuple of Box
        With their numbers; the last one stays empty.
    doors : tuple of (x1, y1, x2, y2)
        The open side of each bin.
    store : Box or None
    circle : (x, y, radius)
        In which a barrow turns.
    way : (x1, y1, x2, y2)
        Of the barrow along the front.
    across, down, side : str
        Measures: the place's width and depth, a bin's side.

    """

    width: float
    height: float
    place: Box
    bins: tuple[Box, ...]
    doors: tuple[tuple[float, float, float, float], ...]
    store: Box | None
    circle: tuple[float, float, float]
    way: tuple[float, float, float, float]
    across: str
    down: str
    side: str


def site_picture(plan: FloorPlan, reader: Reader) -> SitePicture:
    """Return the picture of a floor plan."""
    scale = min(_WIDEST / plan.width_m, _TALLEST / plan.depth_m)

    def box(one: Rect, label: str = "") -> Box:
        return Box(
            round(_LEFT + one.x_m * scale, 1),
            round(_TOP + one.y_m * scale, 1),
            round(one.width_m * scale, 1),
            round(one.depth_m * scale, 1),
            label,
        )

    def measure(length_m: float) -> str:
        return reader.told(format_length(length_m, reader.units))

    bins = tuple(box(one, str(number)) for number, one in enumerate(plan.bins, 1))
    front = box(plan.front)
    radius = round(plan.turning_m * scale / 2, 1)
    x, y = front.middle
    place = box(Rect(0.0, 0.0, plan.width_m, plan.depth_m))
    along = (
        (x, front.y, x, front.y + front.height)
        if plan.is_turned
        else (front.x, y, front.x + front.width, y)
    )
    return SitePicture(
        width=round(_LEFT + place.width + _MORE, 1),
        height=round(_TOP + place.height + _MORE, 1),
        place=place,
        bins=bins,
        doors=tuple(_door(one, is_turned=plan.is_turned) for one in bins),
        store=None if plan.store is None else box(plan.store),
        circle=(x, y, radius),
        way=along,
        across=measure(plan.width_m),
        down=measure(plan.depth_m),
        side=measure(plan.side_m),
    )


def _door(one: Box, *, is_turned: bool) -> tuple[float, float, float, float]:
    """Return the open side: to the right of a row along the left, else below."""
    right, below = one.x + one.width, one.y + one.height
    return (right, one.y, right, below) if is_turned else (one.x, below, right, below)
