"""The command `site`: what a place before its first bin can hold and give.

Knows how it is typed and how the answer is set on a terminal. Reckons nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, reader_for, said_only
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.sentences import Reader
    from heapwright.workshop.site_answer import SiteAnswer


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("site")(site)


def _length(name: str, what: str) -> Any:
    return typer.Option(name, metavar="LENGTH", show_default=False, help=what)


def _area(name: str, what: str) -> Any:
    return typer.Option(name, metavar="AREA", show_default=False, help=what)


def site(
    people: Annotated[
        int | None, typer.Option("--people", show_default=False, help="In the household.")
    ] = None,
    lawn: Annotated[str | None, _area("--lawn", "Whose clippings you take: 1000 ft2.")] = None,
    trees: Annotated[str | None, _area("--trees", "Ground under leafy trees you rake.")] = None,
    beds: Annotated[str | None, _area("--beds", "Beds that want compost.")] = None,
    width: Annotated[str | None, _length("--width", "Of the place for the bins: 18 ft.")] = None,
    depth: Annotated[str | None, _length("--depth", "Of the place for the bins.")] = None,
    shade: Annotated[
        float | None,
        typer.Option("--shade", min=0, max=1, show_default=False, help="Share of sun kept off."),
    ] = None,
    tap: Annotated[str | None, _length("--tap", "Way to the tap.")] = None,
    fence: Annotated[str | None, _length("--fence", "Way to the boundary.")] = None,
    dwelling: Annotated[str | None, _length("--dwelling", "Way to the next dwelling.")] = None,
    well: Annotated[str | None, _length("--well", "Way to a well or stream.")] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell how many bins of what size a place wants; what is said with options is kept."""
    from heapwright.quantities import parse_area_m2, parse_length_m
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.site import say_of_site
    from heapwright.workshop.site import site as site_answer

    told = (people, lawn, trees, beds, width, depth, shade, tap, fence, dwelling, well)
    # Asked before the first bin: what is said begins the garden.
    with place.opened(garden, make=any(one is not None for one in told)) as here:
        reader = reader_for(here, units)
        areas = {"lawn_m2": lawn, "canopy_m2": trees, "beds_m2": beds}
        lengths = {
            "space_width_m": width,
            "space_depth_m": depth,
            "tap_m": tap,
            "fence_m": fence,
            "dwelling_m": dwelling,
            "well_m": well,
        }
        said: dict[str, Any] = said_only(people=people, shade=shade)
        said |= {
            name: parse_area_m2(text, reader.units) for name, text in said_only(**areas).items()
        }
        said |= {
            name: parse_length_m(text, reader.units) for name, text in said_only(**lengths).items()
        }
        if said:
            say_of_site(here, said, origin="command")
        answer = site_answer(here)
        if as_json:
            screen.put_json(to_plain(answer, reader))
        else:
            screen.put(_lines(answer, reader))


def _lines(answer: SiteAnswer, reader: Reader) -> Iterator[str]:
    from heapwright.quantities import format_length, format_volume_range
    from heapwright.sentences import render

    yield from screen.bullets(render(one, reader) for one in answer.told)
    if answer.plan is not None:
        yield ""
        yield "Floor plan, from the back left corner:"
        rows = [
            (
                worded("Bin {number}", number=number),
                *(
                    format_length(one, reader.units)
                    for one in (box.x_m, box.y_m, box.width_m, box.depth_m)
                ),
            )
            for number, box in enumerate(answer.plan.bins, 1)
        ]
        yield from screen.table(rows, ("", "From the left", "From the back", "Width", "Depth"))
    if answer.materials:
        yield ""
        yield from screen.table(
            [
                (
                    one.name,
                    format_volume_range(
                        one.material.volume_m3.low, one.material.volume_m3.high, reader.units
                    ),
                )
                for one in answer.materials
            ],
            ("In a year", "Loose volume"),
        )
    yield ""
    yield "Distances that codes ask for, as examples. Always check yours:"
    yield from screen.bullets((render(one.told, reader) for one in answer.distances), "  ")
    yield "Tools:"
    for tool in answer.tools:
        yield from screen.paragraph(
            worded("{name}. {job}", name=render(tool.name, reader), job=render(tool.job, reader)),
            "  - ",
        )
    yield "Take care:"
    yield from screen.bullets((render(one.told, reader) for one in answer.cautions), "  ")
    yield from screen.bullets(render(one, reader) for one in answer.notes)
