"""The tools with their jobs, and what to take care of before the first bin.

Knows when each caution applies and the words; where each comes from stands in data/tools.csv and
data/site_cautions.csv.
"""

from __future__ import annotations

from collections.abc import Iterator

from heapwright.advice.signs import limits as heat_limits
from heapwright.garden.beds_types import Caution
from heapwright.garden.site import is_cold, is_dry, is_hot, site_figures
from heapwright.garden.site_types import Bins, ClimateYear, Harvest, Heats, Site, Tool
from heapwright.garden.tables import PACKAGE
from heapwright.sentences import Measure, Sentence, length, say, span, temperature, volume
from heapwright.tables import Evidence, parameter_table, read_rows

_TOOLS: dict[str, tuple[Sentence, Sentence]] = {
    "fork": (say("A fork with four or five long tines"), say("Turning: it lifts and lets air in.")),
    "thermometer": (
        say("A compost thermometer with a long stem"),
        say("Tells when to turn and when it is done; the hand cannot."),
    ),
    "barrow": (
        say("A barrow"),
        say("Brings material, moves heaps, spreads compost; fill it half."),
    ),
    "water": (
        say("A hose that reaches, or two cans"),
        say("Wets each dry layer at building and at every turn."),
    ),
    "mask": (
        say("A mask of grade N95 or P2"),
        say("Turning, shredding and sieving raise spores; a plain dust mask is not enough."),
    ),
    "gloves": (say("Gloves and closed shoes"), say("Against cuts, splinters and tines.")),
    "shredder": (
        say("A mower or a shredder"),
        say("Small pieces rot sooner: an inch or two. Eyes, ears and hands guarded."),
    ),
    "mesh": (
        say("Wire mesh under and around"),
        say("Half an inch keeps rats out, a quarter also mice; chicken wire does not."),
    ),
    "sieve": (say("A sieve of a quarter to half an inch"), say("Takes out what is not finished.")),
    "cover": (
        say("A lid or a tarp"),
        say("Keeps wind and sun from drying it, and rain from soaking it."),
    ),
}


def tools() -> tuple[Tool, ...]:
    """Return the tools with their jobs, the needed ones first."""
    rows = {row["id"]: row for row in read_rows(PACKAGE, "data/tools.csv")}
    return tuple(
        Tool(name, *words, source=rows[name]["source"], evidence=Evidence(rows[name]["evidence"]))
        for name, words in _TOOLS.items()
    )


def site_cautions(
    site: Site, climate: ClimateYear, harvest: Harvest, bins: Bins | None
) -> tuple[Caution, ...]:
    """Return what to take care of before the first bin, what may spoil the plan first."""
    rows = {row["id"]: row for row in read_rows(PACKAGE, "data/site_cautions.csv")}
    found = (
        *_too_small(harvest),
        *_too_dry(site, climate),
        *_cold(climate, bins),
        *_ground(site),
        *_always(),
    )
    return tuple(
        Caution(name, told, rows[name]["source"], Evidence(rows[name]["evidence"]))
        for name, told in found
    )


def _too_small(harvest: Harvest) -> Iterator[tuple[str, Sentence]]:
    row = site_figures()["heats_m3"]
    if harvest.heats is Heats.COLD:
        yield (
            "too-small",
            say(
                "Too little to heat: a heap wants {least} to {usual} of fresh material at once, "
                "and all of a year's comes to {have}. It will rot cold and slowly, weed seeds "
                "and germs stay alive in it; or fetch more and fill a bin in one go.",
                least=volume(row.low),
                usual=volume(row.typical),
                have=volume(harvest.all_m3.likely),
            ),
        )
    elif harvest.heats is Heats.SAVED_UP:
        yield (
            "too-small",
            say(
                "It heats only when {usual} is put up at once. Greens spoil in days: keep browns "
                "dry, and fetch greens for the day of building.",
                usual=volume(row.typical),
            ),
        )


def _too_dry(site: Site, climate: ClimateYear) -> Iterator[tuple[str, Sentence]]:
    table = site_figures()
    is_far = site.tap_m is None or site.tap_m > table["far_tap_m"].typical
    if is_dry(climate):
        if is_far:
            yield (
                "too-dry",
                say(
                    "Dry here, and no tap within reach is named: a heap that is not watered dries "
                    "out and goes cold. Water first, then bins."
                ),
            )
        else:
            yield (
                "too-dry",
                say(
                    "Dry here: solid or lined sides, a lid, and a look at the moisture every week; "
                    "unwatered it dries out and goes cold."
                ),
            )
    is_sunny = site.shade is None or site.shade < table["sunny_shade"].typical
    if (is_dry(climate) or is_hot(climate)) and is_sunny:
        yield "shade", say("Put it in the shade: in heat or drought sun dries it out.")


def _cold(climate: ClimateYear, bins: Bins | None) -> Iterator[tuple[str, Sentence]]:
    if not is_cold(climate):
        return
    side = bins.side_m if bins is not None else site_figures()["cold_side_m"].typical
    yield (
        "cold",
        say(
            "The coldest month has {coldest} here: build full bins of {side}, turn less often in "
            "winter, and put bales or leaves round them; small heaps stall until spring.",
            coldest=temperature(climate.coldest_c),
            side=length(side),
        ),
    )


def _ground(site: Site) -> Iterator[tuple[str, Sentence]]:
    wells = parameter_table(PACKAGE, "data/distances.csv")["well_m"]
    if site.well_m is not None and site.well_m < wells.high:
        yield (
            "well",
            say(
                "A well or stream {here} away: {usual} is usual advice. Ask who looks after it "
                "before you build.",
                here=length(site.well_m),
                usual=span(wells.low, wells.high, Measure.LENGTH),
            ),
        )
    yield (
        "floodway",
        say("Not in a floodway nor where water stands; what drains off must not reach water."),
    )
    yield (
        "slope",
        say("Level, bare, drained soil; on a slope across it, so that the barrow stands."),
    )


def _always() -> Iterator[tuple[str, Sentence]]:
    house = parameter_table(PACKAGE, "data/distances.csv")["house_m"].typical
    yield (
        "fire",
        say(
            "More than {house} from house and wood: big dry heaps that lie long can catch fire by "
            "themselves. Watch one above {watch}; above {act} or if it smokes, leave it shut and "
            "call the fire service.",
            house=length(house),
            watch=temperature(heat_limits()["watch_fire_c"]),
            act=temperature(heat_limits()["stand_back_c"]),
        ),
    )
    yield "rodents", say("Mesh below and around, no meat or dairy, food buried and covered.")
    yield "lifting", say("Half-full barrows and a straight back: wet compost is heavy.")
    yield "codes", say("Always check your local code before you build; it comes first.")
