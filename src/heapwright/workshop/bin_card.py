"""Answers what stands on the card that hangs at a bin: its name, and the cautions for its kind.

Knows bins as they are built, not what lies in them: a card hangs for years. Knows nothing of
printing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from heapwright.advice import phrases
from heapwright.journal.entries import BinState
from heapwright.sentences import Sentence, say
from heapwright.workshop.garden import Garden

#: Cautions of a bin's own make; common practice.
_BY_WALL: Mapping[str, Sentence] = {
    "pallets": say("Mind nails and splinters of the pallets."),
    "slats": say("Mind nails and splinters of the slats."),
    "boards": say("Mind nails and splinters of the boards."),
    "wire": say("Mind cut ends of the wire."),
    "blocks": say("Loose blocks can fall on feet."),
    "bales": say("Bales dry out and burn: no fire near them."),
}
_BY_COVER: Mapping[str, Sentence] = {
    "lid": say("Lift the lid away from your face: steam."),
    "tarp": say("Lift the tarp away from your face: steam."),
}
_KEEP_OUT = say("Keep meat, dairy, pet waste and diseased plants out.")


@dataclass(frozen=True, slots=True)
class BinCard:
    """What stands on a bin's card.

    Attributes
    ----------
    bin : BinState
    cautions : tuple of Sentence
        The gravest first.

    """

    bin: BinState
    cautions: tuple[Sentence, ...]


def bin_card(garden: Garden, bin_key: str) -> BinCard:
    """Return the card of a bin.

    Raises
    ------
    NotFound
        If the bin is unknown or out of use.

    """
    return _card(garden.bin(bin_key))


def bin_cards(garden: Garden) -> tuple[BinCard, ...]:
    """Return the card of every bin in use, in their row."""
    return tuple(_card(one) for one in garden.state().bins_in_use.values())


def _card(one: BinState) -> BinCard:
    own = [
        table[key] for table, key in ((_BY_COVER, one.cover), (_BY_WALL, one.wall)) if key in table
    ]
    general = (*phrases.FIRE, *phrases.STEAM, phrases.FORKING[0], *phrases.HANDLING)
    return BinCard(bin=one, cautions=(*general, *own, _KEEP_OUT))
