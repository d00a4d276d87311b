"""What is said of the ledger: water, compost, money, carbon, and what is not counted.

Knows wording. Reckons nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from heapwright.errors import HeapwrightError
from heapwright.garden.ledger_types import Money, Prices, Range, Sums
from heapwright.garden.tables import depths
from heapwright.quantities import format_number
from heapwright.sentences import (
    Measure,
    Sentence,
    Value,
    inside,
    mass,
    say,
    span,
    volume,
    water,
    word,
)
from heapwright.wording import Figure, worded
from heapwright.workshop.ledger_answer import MonthAhead

#: What each published value is, in the order of data/carbon.csv.
FACTORS = {
    "landfill_kitchen_t_per_short_ton": worded("food waste in a landfill"),
    "landfill_garden_gross_t_per_short_ton": worded("yard trimmings in a landfill (not used)"),
    "landfill_garden_net_t_per_short_ton": worded(
        "the same, less the carbon that stays there (not used)"
    ),
    "heap_methane_g_per_kg": worded("methane from composting"),
    "heap_nitrous_g_per_kg": worded("nitrous oxide from composting"),
    "methane_warming": worded("methane against carbon dioxide, over 100 years"),
    "nitrous_warming": worded("nitrous oxide against carbon dioxide, over 100 years"),
}
#: Less is no amount that anybody gives, carries or buys.
_LEAST_KG, _LEAST_M3 = 1.0, 0.001
#: Money is told to two digits; less than this is told as less.
_LEAST_MONEY = 0.05


def money(amount: float, currency: str) -> str:
    """Return money to two digits, as exactly as amounts of a garden are known: "3.6 $"."""
    if 0.0 < amount < _LEAST_MONEY:
        return worded("under {least}", least=Figure(f"{_LEAST_MONEY:g} {currency}".rstrip()))
    return Figure(f"{format_number(amount)} {currency}".rstrip())


def money_range(told: Range, currency: str) -> str:
    """Return a range of money to two digits: "3.6 to 5.1 $"."""
    low, high = money(told.low, currency), money(told.high, currency)
    if low == high:
        return high
    first = format_number(told.low) if told.low == 0.0 or told.low >= _LEAST_MONEY else low
    return worded("{low} to {high}", low=first, high=high)


def water_range(found: Range) -> Sentence:
    """Return a range of water; what may be none is told by its upper end alone."""
    if found.low < _LEAST_KG:
        return say("up to {high}", high=water(found.high))
    return say("{ends}", ends=span(found.low, found.high, Measure.WATER))


def done_told(sums: Sums, cost: Money, prices: Prices) -> Iterator[Sentence]:
    """Yield what the months done come to."""
    if sums.water_kg < _LEAST_KG and sums.material_kg < _LEAST_KG and not _compost(sums):
        yield say("Nothing is booked in these months.")
        return
    if sums.water_kg >= _LEAST_KG:
        yield say("Water given to the heaps: {water}.", water=water(sums.water_kg))
    if sums.material_kg >= _LEAST_KG:
        yield say(
            "Composted: about {all}, of it {kitchen} of kitchen scraps.",
            all=mass(sums.material_kg),
            kitchen=mass(sums.kitchen_kg),
        )
    if sums.own_m3 >= _LEAST_M3:
        sack = depths()["sack_m3"].typical
        yield say(
            "Own compost used: {own}, as much as {sacks} bought sacks of {sack}.",
            own=volume(sums.own_m3),
            sacks=Value(float(format_number(sums.own_m3 / sack)), Measure.COUNT),
            sack=volume(sack),
        )
    if sums.bought_m3 >= _LEAST_M3:
        yield say("Compost bought: {bought}.", bought=volume(sums.bought_m3))
    yield from _money_told(sums, cost, prices)


def _compost(sums: Sums) -> bool:
    return sums.own_m3 >= _LEAST_M3 or sums.bought_m3 >= _LEAST_M3


def _money_told(sums: Sums, cost: Money, prices: Prices) -> Iterator[Sentence]:
    if cost.water is not None:
        yield say("The water cost {paid}.", paid=word(money(cost.water.likely, prices.currency)))
    if cost.bought:
        yield say("Bought compost cost {paid}.", paid=word(money(cost.bought, prices.currency)))
    if cost.saved and sums.own_m3 >= _LEAST_M3:
        yield say(
            "Bought, the own compost would have cost {saved}.",
            saved=word(money(cost.saved, prices.currency)),
        )


def ahead_told(ahead: MonthAhead, prices: Prices, heaps: int) -> Iterator[Sentence]:
    """Yield what is expected of the months ahead, with so many heaps planned."""
    found = ahead.water_kg
    if not heaps:
        yield say("No heap is planned, so no water is expected.")
    elif found.high < _LEAST_KG:
        yield say("No water worth naming is expected for the planned heaps.")
    if found.high >= _LEAST_KG:
        yield say(
            "Expected for the planned heaps: {ends} of water, likely {likely}.",
            ends=inside(water_range(found)),
            likely=water(found.likely),
        )
    if ahead.own_m3 >= _LEAST_M3:
        yield say("Surely there for the beds: {own} of own compost.", own=volume(ahead.own_m3))
    if ahead.buy_m3 >= _LEAST_M3:
        yield say(
            "To buy at most, if the heaps give no more than is sure: {buy}.",
            buy=volume(ahead.buy_m3),
        )
    cost = ahead.money
    if cost.water is not None and found.high >= _LEAST_KG:
        yield say(
            "That water will cost {paid}.", paid=word(money_range(cost.water, prices.currency))
        )
    if cost.bought:
        yield say(
            "Buying that compost would cost {paid}.",
            paid=word(money(cost.bought, prices.currency)),
        )


def carbon_told(kitchen_kg: float, per_kg: Range, kept_kg: Range) -> Iterator[Sentence]:
    """Yield what the kitchen scraps kept out of the air, and on what condition."""
    if kitchen_kg < _LEAST_KG:
        yield say(
            "No kitchen scraps went into a heap in these months, so no carbon is told. Garden "
            "waste has no figure: see below."
        )
    else:
        yield say(
            "Would your kitchen scraps have gone to a landfill? If so, composting {kitchen} of "
            "them kept the like of {ends} of carbon dioxide out of the air, likely {likely}.",
            kitchen=mass(kitchen_kg),
            ends=span(kept_kg.low, kept_kg.high, Measure.MASS),
            likely=mass(kept_kg.likely),
        )
        yield say(
            "If they would have gone to a composting plant, a digester or a burner, or onto the "
            "garden anyway, this figure is not for you; the program does not know."
        )
        yield say(
            "Scraps count as {low} to {high} times their weight, likely {likely}: what a landfill "
            "gives off (US Environmental Protection Agency; its editions differ) less the methane "
            "and nitrous oxide of a heap (IPCC 2006 and a trial of 2023: wide).",
            low=word(format_number(per_kg.low)),
            high=word(format_number(per_kg.high)),
            likely=word(format_number(per_kg.likely)),
        )
    yield say(
        "Leaves, grass and prunings have no figure: counted one way a landfill gives off more "
        "than a heap, counted another it stores their carbon for longer, and both are published "
        "by the same agency."
    )
    yield say(
        "A wet heap without air gives off more methane: enough brown and air are what counts. "
        "Carbon left in the soil and fuel saved are not counted."
    )


def notes(sums: Sums, prices: Prices) -> Iterator[Sentence]:
    """Yield what is not counted."""
    if not prices.are_there:
        yield say(
            "No price of water or of compost is entered, so no money is told. Enter them under "
            "Your days."
        )
    elif prices.water_m3 is None:
        yield say("No price of water is entered, so its cost is not told.")
    elif prices.compost_m3 is None:
        yield say("No price of compost is entered, so what it costs or saves is not told.")
    if sums.unmeasured:
        yield say(
            "Amounts that nobody wrote down: {number}. They are in no sum.",
            number=Value(sums.unmeasured, Measure.COUNT),
        )
    yield say(
        "Counted is what was logged: rain is not, nor water whose amount nobody wrote down, nor "
        "what a heap held that was there before the log began. Material is reckoned from its "
        "containers."
    )


def ahead_notes() -> Iterator[Sentence]:
    """Yield what the months ahead rest on."""
    yield say(
        "Months ahead are expected, from today on: the water that the model gives a well-kept "
        "heap in a usual year, for the heaps of the plan; real years differ more. The likely "
        "amounts add up; the range of all months together is narrower than theirs end by end."
    )


def no_plan() -> Sentence:
    """Return that there is no bin to plan for."""
    return say("There is no bin yet, so nothing is expected of the months ahead.")


def no_plan_now(problem: HeapwrightError) -> Sentence:
    """Return that the year cannot be planned, and why."""
    return say("The year ahead cannot be told now: {why}.", why=word(problem.what))
