"""The form of a scenario's heap: its bin, what goes in, what is done to it, where it is read.

Knows names, kinds and limits of fields. What can be true of a heap is checked where it is run.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import Discriminator, Field, Tag

from heapwright.heap.types import Cover, Ground, Wall
from heapwright.wording import worded
from heapwright.workshop.scenario.fields import (
    AboveNothing,
    Form,
    Metres,
    NotNegative,
    Share,
    Words,
    by_word,
    unsaid,
)

MOST_ITEMS = 1000
LaxWall = Annotated[Wall, Field(strict=False)]
LaxCover = Annotated[Cover, Field(strict=False)]
LaxGround = Annotated[Ground, Field(strict=False)]


class _BinForm(Form):
    height_m: Metres | None = unsaid("Inner height. [m]")
    height: Words | None = unsaid('The same in words with its unit, such as "3 ft".')
    wall: LaxWall = Field(default=Wall.PALLETS, description="What the sides are made of.")
    cover: LaxCover = Field(default=Cover.BROWN_CAP, description="What lies on top.")
    ground: LaxGround = Field(default=Ground.COARSE, description="What the heap stands on.")
    shade: Share | None = unsaid("Share of the sun kept off. [0-1]")


class SquareBin(_BinForm):
    """A bin with four corners."""

    either: ClassVar = (("width_m", "width"), ("height_m", "height"))
    at_most: ClassVar = (("depth_m", "depth"),)

    shape: Literal["square"] = "square"
    width_m: Metres | None = unsaid("Inner width. [m]")
    width: Words | None = unsaid('The same in words with its unit, such as "3 ft".')
    depth_m: Metres | None = unsaid("From front to back; as wide when not given. [m]")
    depth: Words | None = unsaid("The same in words with its unit.")


class RoundBin(_BinForm):
    """A bin or open heap that is round."""

    either: ClassVar = (("diameter_m", "diameter"), ("height_m", "height"))

    shape: Literal["round"] = "round"
    diameter_m: Metres | None = unsaid("Inner diameter. [m]")
    diameter: Words | None = unsaid('The same in words with its unit, such as "90 cm".')


class MaterialForm(Form):
    """Some of a material in people's words, as `heapwright mix` takes them."""

    material: Words = Field(description='Such as "dry leaves".')
    amount: Words = Field(description='Such as "3 leaf bags", "2 pails" or "12 kg".')


class MaterialsFill(Form):
    """What goes in, told as amounts of materials; the table's likely values are taken."""

    at_most: ClassVar = (("water_l", "water", "target_moisture"),)

    materials: Annotated[list[MaterialForm], Field(min_length=1, max_length=MOST_ITEMS)]
    water_l: NotNegative | None = unsaid("Water added while building. [L]")
    water: Words | None = unsaid('The same in words, such as "2 pails".')
    target_moisture: Annotated[float, Field(ge=0.0, lt=1.0)] | None = unsaid(
        "Wetted to this moisture if it is drier; instead of water. Share of wet mass. [0-1]"
    )
    temperature_c: float | None = unsaid("When built; the first day's mean if not given. [°C]")


class ExplicitFill(Form):
    """What goes in, told in numbers."""

    at_most: ClassVar = (("volume_m3", "bulk_density_kg_m3"),)

    wet_mass_kg: AboveNothing = Field(description="Water included. [kg]")
    moisture: Share = Field(description="Water as share of wet mass. [0-1]")
    c_to_n: AboveNothing = Field(description="Carbon to nitrogen by mass.")
    volatile_solids: Share | None = unsaid("Share of dry mass that is no ash. [0-1]")
    fast_share: Share | None = unsaid("Of volatile solids, what rots within days. [0-1]")
    medium_share: Share | None = unsaid("Of volatile solids, what rots within weeks. [0-1]")
    volume_m3: AboveNothing | None = unsaid(
        "As it lies; the bin filled to its rim when neither this nor a density is given. [m³]"
    )
    bulk_density_kg_m3: AboveNothing | None = unsaid(
        "Wet mass per volume as it lies, instead of the volume. [kg/m³]"
    )
    temperature_c: float | None = unsaid("When built; the first day's mean if not given. [°C]")


_SHAPES: Mapping[str, str] = {"square": "a square bin", "round": "a round bin"}


def _shape_of(value: Any) -> str | None:
    if not isinstance(value, Mapping):
        return _SHAPES["square"]
    if "shape" not in value:
        is_round = {"diameter", "diameter_m"} & value.keys()
        return _SHAPES["round" if is_round else "square"]
    said = value["shape"]
    return _SHAPES.get(said) if isinstance(said, str) else None


def _kind_of_fill(value: Any) -> str:
    of_materials = isinstance(value, Mapping) and "materials" in value
    return "a fill of materials" if of_materials else "a fill of numbers"


BinForm = Annotated[
    Annotated[SquareBin, Tag("a square bin")] | Annotated[RoundBin, Tag("a round bin")],
    by_word(_shape_of, "shape", tuple(_SHAPES)),
]
FillForm = Annotated[
    Annotated[MaterialsFill, Tag("a fill of materials")]
    | Annotated[ExplicitFill, Tag("a fill of numbers")],
    Discriminator(_kind_of_fill),
]


class _ActionForm(Form):
    either: ClassVar[tuple[tuple[str, ...], ...]] = (("hour", "day"),)

    hour: NotNegative | None = unsaid("After building. [h]")
    day: NotNegative | None = unsaid("After building. [days]")


class _WateredForm(_ActionForm):
    at_most: ClassVar = (("water_l", "water"),)

    water_l: NotNegative | None = unsaid("Water given meanwhile. [L]")
    water: Words | None = unsaid('The same in words, such as "2 pails".')


class StirForm(_WateredForm):
    """Forked over where it stands."""

    do: Literal["stir"]


class MoveForm(_WateredForm):
    """Forked inside-out into the next bin."""

    do: Literal["move"]
    new_bin: BinForm | None = unsaid("The bin it comes into; one of the same kind if not given.")


class WetForm(_WateredForm):
    """Wetted from above."""

    either: ClassVar = (("hour", "day"), ("water_l", "water"))

    do: Literal["wet"]


class AddForm(_WateredForm):
    """Something laid on top of a living heap."""

    do: Literal["add"]
    fill: FillForm = Field(description="What is added.")


class CoverForm(_ActionForm):
    """Another cover laid on top."""

    do: Literal["cover"]
    cover: LaxCover = Field(description="What lies on top from now on.")


_ACTIONS = ("stir", "move", "wet", "add", "cover")


def _kind_of_action(value: Any) -> str | None:
    if not isinstance(value, Mapping):
        return "to stir"
    said = value.get("do")
    return worded("to {said}", said=said) if isinstance(said, str) and said in _ACTIONS else None


ActionForm = Annotated[
    Annotated[StirForm, Tag("to stir")]
    | Annotated[MoveForm, Tag("to move")]
    | Annotated[WetForm, Tag("to wet")]
    | Annotated[AddForm, Tag("to add")]
    | Annotated[CoverForm, Tag("to cover")],
    by_word(_kind_of_action, "do", _ACTIONS),
]


class ProbeForm(Form):
    """Where a thermometer's tip sits; it sinks with the top as the heap settles."""

    either: ClassVar = (("depth_m", "depth"),)

    name: Words
    depth_m: Metres | None = unsaid("Below the top. [m]")
    depth: Words | None = unsaid('The same in words with its unit, such as "18 in".')
    radius_fraction: Share = Field(default=0.0, description="0 the middle, 1 the wall.")
