"""The commands `log` and `undo`: writing down what was done or seen at a bin, and taking it back.

Knows the options of one visit and how its outcome is told. How options become entries is in
`visit`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.options import AsJson, At, BinSaid, GardenPath, Units, Words, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.journal.picture import Photo
    from heapwright.sentences import Reader
    from heapwright.workshop.answers import LogAnswer
    from heapwright.workshop.garden import Garden

LAST_SHOWN = 12


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("log")(log)
    app.command("undo")(undo)


def log(
    bin_said: BinSaid,
    temperature: Annotated[
        str | None,
        typer.Argument(
            metavar="TEMPERATURE",
            show_default=False,
            help="What the thermometer reads: 137F, 58C, or 137 in the garden's units.",
        ),
    ] = None,
    at: At = None,
    depth: Annotated[
        str | None,
        typer.Option("--depth", metavar="LENGTH", help="How deep the tip was: 18 in, 45 cm."),
    ] = None,
    where: Annotated[
        str | None,
        typer.Option("--where", metavar="PLACE", help="Where: core, edge, top, bottom or side."),
    ] = None,
    probe: Annotated[
        str | None, typer.Option("--probe", metavar="NAME", help="Which thermometer.")
    ] = None,
    squeeze: Annotated[
        str | None,
        typer.Option(
            "--squeeze",
            metavar="WORD",
            help="A squeezed handful: dusty, dry, drops (one or two: right) or dripping.",
        ),
    ] = None,
    smell: Annotated[
        str | None,
        typer.Option(
            "--smell", metavar="WORD", help='Smell: earthy, "rotten egg", sour or ammonia.'
        ),
    ] = None,
    pests: Annotated[
        Words,
        typer.Option(
            "--pests", metavar="WORD", help="Pests: flies, rats or ants. May be said again."
        ),
    ] = None,
    look: Annotated[
        Words,
        typer.Option(
            "--look",
            metavar="WORD",
            help='Look: matted, "white threads" or ashy. May be said again.',
        ),
    ] = None,
    level: Annotated[
        str | None,
        typer.Option("--level", metavar="LENGTH", help="Height of the heap now: 28 in, 70 cm."),
    ] = None,
    stirred: Annotated[
        bool, typer.Option("--stirred", help="Turned where it stands, outside in.")
    ] = False,
    moved_to: Annotated[
        str | None, typer.Option("--moved-to", metavar="BIN", help="Turned into this other bin.")
    ] = None,
    onto: Annotated[
        bool, typer.Option("--onto", help="With --moved-to: onto the heap that lies there.")
    ] = False,
    water: Annotated[
        str | None,
        typer.Option(
            "--water",
            metavar="AMOUNT",
            help="Water given: 5 gal, 20 L, 2 pails, or 40 s of the hose.",
        ),
    ] = None,
    added: Annotated[
        Words,
        typer.Option(
            "--added",
            metavar="LOT=COUNT",
            help="Containers of a lot put into the living heap. May be said again.",
        ),
    ] = None,
    capped: Annotated[
        str | None,
        typer.Option("--capped", metavar="WORD", help="On top now: brown, tarp, lid or open."),
    ] = None,
    cure: Annotated[bool, typer.Option("--cure", help="Left to cure from now on.")] = False,
    used: Annotated[
        str | None,
        typer.Option("--used", metavar="AMOUNT", help="Compost taken out: 2 pails, 40 L, or all."),
    ] = None,
    used_on: Annotated[
        str | None,
        typer.Option("--used-on", metavar="WORDS", help="With --used: a bed, store, or words."),
    ] = None,
    note: Annotated[
        str | None, typer.Option("--note", metavar="WORDS", help="Anything else, in your words.")
    ] = None,
    photo: Annotated[
        str | None,
        typer.Option("--photo", metavar="FILE", help="A photo of the heap: JPEG, PNG or WebP."),
    ] = None,
    author: Annotated[str, typer.Option("--author", metavar="NAME", help="Who says so.")] = "",
    full_today: Annotated[
        bool,
        typer.Option(
            "--today",
            help="Weigh the heap model too for what Today says; takes a little longer.",
        ),
    ] = False,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Write down what you read, saw or did at a bin.

    Several things of one visit go into one call: all of them are stored, or none. Afterwards it
    tells what was stored, how to take it back, and what to do now by what was seen.
    """
    from heapwright.cli import visit
    from heapwright.workshop.log import log_many

    said = visit.Said(
        bin=bin_said,
        temperature=temperature,
        depth=depth,
        where=where,
        probe=probe,
        squeeze=squeeze,
        smell=smell,
        pests=tuple(pests or ()),
        looks=tuple(look or ()),
        level=level,
        stirred=stirred,
        moved_to=moved_to,
        onto=onto,
        water=water,
        added=tuple(added or ()),
        capped=capped,
        cure=cure,
        used=used,
        used_on=used_on,
        note=note,
        photo=None if photo is None else _photo(photo),
    )
    with place.opened(garden) as here:
        reader = reader_for(here, units)
        told = visit.entries_of(here, said, reader.units, at=at, author=author)
        answer = log_many(here, told.entries, photos=[said.photo] if said.photo else [])
        if as_json:
            screen.put_json(_as_plain(here, answer, told.bin_key, reader, full_today))
            return
        screen.put(stored.lines(here, answer, reader))
        # Told at once: the entry is safe whatever happens while the advice is worked out.
        typer.get_text_stream("stdout").flush()
        screen.put(_today_lines(here, told.bin_key, reader, full_today))


def undo(
    ids: Annotated[
        Words,
        typer.Argument(
            metavar="ID",
            show_default=False,
            help="Ids of entries, or as much of their beginning as is clear.",
        ),
    ] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Take entries back; without an id, list the last ones.

    The journal keeps both the entry and that it was taken back. Taking back an undo brings the
    entry again.
    """
    from heapwright.cli import people
    from heapwright.journal.entries import EntryKind
    from heapwright.workshop.log import log_many, make_entry
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        if not ids:
            last = list(here.entries()[-LAST_SHOWN:])
            if as_json:
                screen.put_json(to_plain(last, reader))
            else:
                screen.put(stored.entry_lines(here, last, reader))
            return
        wanted = dict.fromkeys(people.entry_id(here, one) for one in ids)
        undoing = [
            make_entry(here, EntryKind.UNDO, {"of": one}, origin="command") for one in wanted
        ]
        answer = log_many(here, undoing)
        if as_json:
            screen.put_json(to_plain(answer, reader))
            return
        back = " ".join(one[: stored.ID_SHOWN] for one in answer.stored)
        screen.put(
            [
                worded(
                    "Taken back: {counted}.",
                    counted=screen.counted(len(wanted), "entry", "entries"),
                )
            ]
        )
        screen.put([worded("To bring it again: heapwright undo {back}", back=back)])


def _photo(file: str) -> Photo:
    """Return a photo from a file, ready to be kept."""
    from heapwright.cli.incoming import read_bytes
    from heapwright.journal.picture import largest_bytes, prepared

    return prepared(read_bytes(file, largest_bytes()))


def _as_plain(
    garden: Garden, answer: LogAnswer, key: str, reader: Reader, full: bool
) -> dict[str, Any]:
    from heapwright.workshop.plain import to_plain

    plain = stored.as_plain(answer, reader)
    plain["today"] = to_plain(_advice(garden, key, full), reader)
    plain["today_by"] = "the model and what was seen" if full else "what was seen"
    return plain


def _advice(garden: Garden, key: str, full: bool) -> Any:
    """Return what Today says of one bin, or what the rules alone say, which is there at once."""
    from heapwright.advice.rules import advise
    from heapwright.workshop.today import bin_today, heap_view

    batch = garden.batch_in(key)
    if full or batch is None:
        return bin_today(garden, key).advice
    return advise(heap_view(garden, batch, None))


def _today_lines(garden: Garden, key: str, reader: Reader, full: bool) -> Iterator[str]:
    from heapwright.cli.command_today import bin_lines
    from heapwright.sentences import render

    yield ""
    if full:
        from heapwright.workshop.today import bin_today

        yield from bin_lines(garden, bin_today(garden, key), reader)
        return
    advice = _advice(garden, key, full)
    yield worded("Now at {name}, by what was seen:", name=garden.bin(key).name)
    yield from screen.paragraph(render(advice.headline, reader), "  ")
    for label, sentences in (
        ("Why", advice.reasons),
        ("Then", advice.afterwards),
        ("Mind", advice.cautions),
    ):
        yield from screen.labelled(label, (render(each, reader) for each in sentences))
    if garden.bin(key).batch_key is not None:
        yield worded(
            "`heapwright today {key}` weighs the heap model too and tells how much.", key=key
        )
