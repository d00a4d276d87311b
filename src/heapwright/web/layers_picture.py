"""Draws the layers of a build sheet as a section through the bin, to scale, bottom up.

Knows lines, numbers and their places on paper. Each kind of layer has a pattern of its own, so it
reads without colour. Knows nothing of why a layer is there.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from heapwright.journal.entries import BinState
from heapwright.mixing.types import BuildSheet, Layer, LayerKind
from heapwright.sentences import Measure, Reader
from heapwright.web import words

WIDTH = 360.0
_BIN_WIDTH = 250.0
_LEFT, _ABOVE, _BELOW = 14.0, 26.0, 56.0
#: Numbers beside the bin stand in two columns in turn, each at least this much above the last; of
#: very many layers only some are numbered.
_NUMBER_STEP = 9.0
_COLUMNS = (26.0, 50.0)
_MOST_NUMBERS = 40
_WALL = 8.0
_TALLEST = 330.0


@dataclass(frozen=True, slots=True)
class LayerDrawn:
    """One layer: its kind's class and the rectangle it fills."""

    number: int
    kind: str
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class NumberDrawn:
    """A layer's number beside the bin, and the line that leads to it."""

    number: int
    x: float
    y: float
    leader: str


@dataclass(frozen=True, slots=True)
class LayersPicture:
    """Everything `build_parts.html` puts on paper, in drawing units."""

    width: float
    height: float
    layers: tuple[LayerDrawn, ...]
    numbers: tuple[NumberDrawn, ...]
    left: float
    right: float
    ground_y: float
    wall: str
    wall_top_y: float
    wall_width: float
    width_words: str
    height_words: str
    kinds: tuple[str, ...]


def draw_layers(sheet: BuildSheet, bin_state: BinState, reader: Reader) -> LayersPicture:
    """Return the drawing of a build sheet for a bin.

    Depths are loose; food scraps are drawn on the inner part of the bin they lie on, as deep as
    they lie there, and what is laid over them fills up around them.
    """
    tallest_m = max(sheet.loose_height_m, bin_state.height_m)
    scale = min(_BIN_WIDTH / bin_state.width_m, _TALLEST / tallest_m)
    half = 0.5 * bin_state.width_m * scale
    middle = _LEFT + _WALL + _BIN_WIDTH / 2
    numbers_need = _NUMBER_STEP * min(_MOST_NUMBERS, len(sheet.layers))
    ground = _ABOVE + max(tallest_m * scale, numbers_need)
    drawn = _stacked(sheet, bin_state, scale, middle, ground)
    right = middle + half
    return LayersPicture(
        width=WIDTH,
        height=round(ground + _BELOW, 1),
        # Food last: it stands up into what is laid around it.
        layers=tuple(sorted(drawn, key=lambda one: one.kind == LayerKind.FOOD)),
        numbers=_numbers(drawn, right + _WALL, ground),
        left=round(middle - half, 1),
        right=round(right, 1),
        ground_y=round(ground, 1),
        wall=bin_state.wall,
        wall_top_y=round(ground - bin_state.height_m * scale, 1),
        wall_width=_WALL,
        width_words=words.amount(bin_state.width_m, Measure.LENGTH, reader),
        height_words=words.amount(sheet.loose_height_m, Measure.LENGTH, reader),
        kinds=tuple(dict.fromkeys(str(layer.kind) for layer in sheet.layers)),
    )


def _stacked(
    sheet: BuildSheet, bin_state: BinState, scale: float, middle: float, ground: float
) -> list[LayerDrawn]:
    drawn = []
    top = ground
    for layer in sheet.layers:
        rise = layer.depth_m * _area_share(layer, bin_state) * scale
        width = (bin_state.width_m - 2 * layer.margin_m) * scale
        depth = layer.depth_m * scale
        drawn.append(
            LayerDrawn(
                number=layer.number,
                kind=str(layer.kind),
                x=round(middle - width / 2, 1),
                y=round(top - depth, 1),
                width=round(width, 1),
                height=round(depth, 1),
            )
        )
        top -= rise
    return drawn


def _area_share(layer: Layer, bin_state: BinState) -> float:
    """Return the share of the bin's ground a layer lies on."""
    inner = (bin_state.width_m - 2 * layer.margin_m) * (bin_state.depth_m - 2 * layer.margin_m)
    return inner / (bin_state.width_m * bin_state.depth_m)


def _numbers(drawn: list[LayerDrawn], from_x: float, ground: float) -> tuple[NumberDrawn, ...]:
    """Return the numbers, bottom up, spread so that none touches its neighbour."""
    every = -(-len(drawn) // _MOST_NUMBERS)
    shown = [one for one in drawn if (one.number - 1) % every == 0 or one is drawn[-1]]
    wanted = [one.y + one.height / 2 for one in shown]
    places = _spread_out(wanted, ground - _NUMBER_STEP / 2)
    return tuple(
        _number(one.number, at, y, from_x, from_x + _COLUMNS[place % 2])
        for place, (one, at, y) in enumerate(zip(shown, wanted, places, strict=True))
    )


def _number(number: int, at: float, y: float, from_x: float, x: float) -> NumberDrawn:
    bend = from_x + _COLUMNS[0] - 10
    leader = f"M{from_x - _WALL:.1f} {at:.1f}H{from_x + 3:.1f}L{bend:.1f} {y:.1f}H{x - 3:.1f}"
    return NumberDrawn(number=number, x=round(x, 1), y=round(y, 1), leader=leader)


def _spread_out(wanted: list[float], lowest: float) -> list[float]:
    """Return places near the wished ones (falling, as layers rise), at least a step apart."""
    places: list[float] = []
    limit = lowest
    for y in wanted:
        place = min(y, limit)
        places.append(place)
        limit = place - _NUMBER_STEP
    # Push back down what was driven above the picture.
    highest = _NUMBER_STEP / 2 + 4
    for index in range(len(places) - 1, -1, -1):
        if places[index] >= highest:
            break
        places[index] = highest
        highest += _NUMBER_STEP
    assert all(lower > upper for lower, upper in pairwise(places))
    return places
