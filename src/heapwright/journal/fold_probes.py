"""Follows the thermometers that report by themselves through the journal: where each one is.

Knows what a probe's entries do. Knows nothing of readings beyond who wrote them, or of tokens,
which are no part of the journal.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from heapwright.journal.entries import BinState, Entry, EntryKind, ProbeState
from heapwright.wording import worded

Tell = Callable[[Entry, str], None]
#: Who wrote an entry that a probe reported.
PROBE_ORIGIN = "probe"


def is_from_probe(entry: Entry) -> bool:
    """Return whether a reading was reported by a thermometer itself.

    It goes on reporting while its bin stands empty; that is no mistake to be told.
    """
    return entry.kind is EntryKind.READING and entry.origin == PROBE_ORIGIN


@dataclass(slots=True)
class _Probe:
    """A probe while it is being folded."""

    key: str
    name: str
    places: list[tuple[datetime, str, float, str]] = field(default_factory=list)
    in_use: bool = True

    def state(self) -> ProbeState:
        _, bin_key, depth_m, where = self.places[-1]
        return ProbeState(
            self.key, self.name, bin_key, depth_m, where, tuple(self.places), self.in_use
        )


class Probes:
    """The probes while the garden is being folded."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._found: dict[str, _Probe] = {}

    def place(self, entry: Entry) -> None:
        """Take in that a probe is put somewhere; its first place holds from the beginning."""
        body = entry.body
        probe = self._found.setdefault(body["key"], _Probe(body["key"], body["name"]))
        probe.name = body["name"]
        place = (entry.at, body["bin"], body["depth_m"], body.get("where", ""))
        probe.places.append(place)

    def use(self, entry: Entry, bins: Mapping[str, BinState]) -> None:
        """Take in that a probe is in use from now on; tell when its bin is not known."""
        if entry.body["bin"] not in bins:
            self._tell(
                entry,
                worded("a probe was put in bin {bin}, which is not known", bin=entry.body["bin"]),
            )
        self._found[entry.body["key"]].in_use = True

    def withdraw(self, entry: Entry) -> None:
        """Take in that a probe was withdrawn."""
        probe = self._found.get(entry.body["probe"])
        if probe is None:
            self._tell(entry, worded("no probe {probe} is known", probe=entry.body["probe"]))
        else:
            probe.in_use = False

    def state(self) -> dict[str, ProbeState]:
        """Return the probes as they stand, in the order in which they were entered."""
        return {key: probe.state() for key, probe in self._found.items()}
