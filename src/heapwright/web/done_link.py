"""Makes the address of a Log form that is filled in as Today advised, and reads it again.

Knows which fields an address may fill in. What is in an address is only proposed: the form is
shown, and what does not make sense in this garden is left out of it.
"""

from __future__ import annotations

from urllib.parse import urlencode

from heapwright.journal.entries import GardenState
from heapwright.sentences import Sentence
from heapwright.web import log_form, told
from heapwright.web.forms import Filled
from heapwright.web.storing import Told
from heapwright.web.water_form import in_own_unit
from heapwright.workshop.answers import BinToday
from heapwright.workshop.done_as_told import DoneAsTold, done_as_told
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import make_entry

#: What an address may fill in, besides lots (`log_form.ADDED`). Never the temperature: a number
#: that was not read must not stand there ready to be saved.
FIELDS = ("bin", "turned", "to_bin", "water", "water_unit", "cover", "cure")
_BIN = "bin"


def for_bin(garden: Garden, shown: BinToday) -> str:
    """Return the address that logs a bin's job as done, "" when there is nothing of it to log."""
    done = done_as_told(garden, shown)
    return "" if done is None else address(done, garden.state())


def address(done: DoneAsTold, state: GardenState) -> str:
    """Return the address of the Log form with these things filled in."""
    asked = [("bin", done.bin_key)]
    if done.turned:
        asked.append(("turned", done.turned))
    if done.to_bin:
        asked.append(("to_bin", done.to_bin))
    asked += [(f"{log_form.ADDED}{lot}", f"{count:g}") for lot, count in done.lines]
    if done.water_kg:
        amount, unit = in_own_unit(done.water_kg, state.settings)
        asked += [("water", f"{amount:.2g}" if amount < 100 else f"{amount:.0f}")]
        asked += [("water_unit", unit)]
    if done.cover is not None:
        asked.append(("cover", str(done.cover)))
    if done.cured:
        asked.append(("cure", "yes"))
    return f"/log?{urlencode(asked)}"


def proposed(asked: Filled, state: GardenState) -> Filled:
    """Return the form an address proposes; an empty one when nothing but a bin is in it.

    A field that says what cannot be in this garden is left out, and so is everything when the bin
    is not there: an address may be old, or made up.
    """
    given = _allowed(asked)
    while True:
        form = Filled(given)
        found = log_form.told(form, state)
        wrong = set(form.problems)
        if not wrong:
            return form if found else Filled()
        kept = tuple(one for one in given if not _speaks_of(one[0], wrong))
        if kept == given or wrong & {_BIN, ""}:
            return Filled()
        given = kept


def told_of(form: Filled, garden: Garden) -> list[Sentence]:
    """Return in words what a proposed form would store."""
    state = garden.state()
    things: list[Told] = [] if form.is_empty else log_form.told(form, state)
    return [
        told.telling(make_entry(garden, one.kind, one.body, origin="page"), state) for one in things
    ]


def _allowed(asked: Filled) -> tuple[tuple[str, str], ...]:
    return tuple(
        (name, text)
        for name, text in asked.given
        if name in FIELDS or name.startswith(log_form.ADDED)
    )


def _speaks_of(name: str, wrong: set[str]) -> bool:
    # A move that leads nowhere is no move; an amount and its unit go together.
    together = {"turned": {"to_bin"}, "to_bin": {"turned"}, "water_unit": {"water"}}
    return name in wrong or bool(together.get(name, set()) & wrong)
