"""The commands `serve` and `demo`: the pages, here or shared, and an invented garden to look at.

Knows which gardens are served and when the invented one is made. Knows no page.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, reader_for
from heapwright.errors import NotUnderstood
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.web.share import Opened
    from heapwright.workshop.garden import Garden

PORT = 8055  # the pages' own (`web.server`); a test holds the two together


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("serve")(serve)
    app.command("demo")(demo)


def serve(
    shared_gardens: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="[PATH ...]",
            show_default=False,
            help="With --share: the gardens' files, or the folder they lie in.",
        ),
    ] = None,
    port: Annotated[
        int,
        typer.Option(
            "--port", metavar="N", help="Port to answer at on this machine; 0 takes any free one."
        ),
    ] = PORT,
    open_browser: Annotated[
        bool | None,
        typer.Option(
            "--open/--no-open",
            show_default=False,
            help="Open the Today page in your browser; where there is a desktop, if not given.",
        ),
    ] = None,
    demo_garden: Annotated[
        bool,
        typer.Option("--demo", help="Show the invented garden, kept in a file of its own."),
    ] = False,
    demo_if_empty: Annotated[
        bool,
        typer.Option("--demo-if-empty", help="Begin with the invented garden if yours is empty."),
    ] = False,
    share: Annotated[
        bool,
        typer.Option("--share", help="Answer in the home network too; everybody signs in."),
    ] = False,
    names: Annotated[
        list[str] | None,
        typer.Option(
            "--name",
            metavar="HOST",
            show_default=False,
            help="With --share: a further name the machine has, such as compost.local.",
        ),
    ] = None,
    https: Annotated[
        bool,
        typer.Option("--https", help="With --share: encrypt, by an authority of its own."),
    ] = False,
    proxy: Annotated[
        str,
        typer.Option(
            "--behind-proxy",
            metavar="ADDRESS",
            show_default=False,
            help="With --share: believe what this one proxy says of who asks.",
        ),
    ] = "",
    garden: GardenPath = None,
) -> None:
    """Show the pages until Ctrl-C, on this machine only unless --share is said.

    Sharing needs an owner with a passphrase first: `heapwright people add NAME --role owner`.
    """
    if share:
        _refuse_demo(demo_garden or demo_if_empty)
        _share(shared_gardens or [place.garden_path(garden)], port, names or [], https, proxy)
        return
    _refuse_alone(shared_gardens, names, https, proxy)
    from heapwright.web.server import serve as serve_pages

    given = place.garden_path(garden).with_name(place.DEMO_NAME) if demo_garden else garden
    with place.opened(given, make=True) as here:
        if (demo_garden or demo_if_empty) and not here.entries():
            typer.echo("Making an invented garden to look at ...")
            _fill(here)
        opening = _has_desktop() if open_browser is None else open_browser
        # Ctrl-C is how a person ends it, so it is no mistake and no failure.
        with contextlib.suppress(KeyboardInterrupt):
            serve_pages(here, port=port, open_browser=opening, on_ready=_ready)
    screen.put(["Stopped. Everything you entered is saved."])


def _refuse_demo(is_demo: bool) -> None:
    if is_demo:
        raise NotUnderstood(
            "The invented garden is not shared",
            instead="Leave --demo and --demo-if-empty out, or leave --share out",
            kept="Nothing was started.",
        )


def _refuse_alone(
    gardens: list[Path] | None, names: list[str] | None, https: bool, proxy: str
) -> None:
    """Refuse what only sharing knows, rather than pass it over and be less safe than was meant."""
    said = {"A PATH": gardens, "--name": names, "--https": https, "--behind-proxy": proxy}
    for what, value in said.items():
        if value:
            raise NotUnderstood(
                worded("{what} without --share", what=what),
                why="alone on this machine there is nobody to share with",
                instead="Add --share, or leave it out; --garden names the file",
                kept="Nothing was started.",
            )


def _share(paths: list[Path], port: int, names: list[str], https: bool, proxy: str) -> None:
    from heapwright.web.share import Wish, serve_shared

    wish = Wish(port, tuple(names), https, proxy)
    with contextlib.suppress(KeyboardInterrupt):
        serve_shared(paths, wish, _opened)
    screen.put(["Stopped. Everything that was entered is saved."])


def _opened(told: Opened) -> None:
    """Say where the pages are, and how a phone comes to trust them."""
    first, *others = told.addresses
    typer.echo(worded("Heapwright is shared at {first}  (Ctrl-C stops it)", first=first))
    for address in others:
        typer.echo(worded("                     or {address}", address=address))
    if not told.trust_address:
        typer.echo("Not encrypted: whoever listens in the network can read along. See --https.")
        return
    typer.echo(worded("A phone's first visit: {trust_address}", trust_address=told.trust_address))
    typer.echo("Compare there, group by group, the certificate's fingerprint (SHA-256):")
    typer.echo(f"  {told.fingerprint}")
    if told.is_new:
        typer.echo("It was made just now; a phone that trusted an earlier one has to again.")


def demo(
    path: Annotated[
        str | None,
        typer.Argument(
            metavar="PATH",
            show_default=False,
            help="File to make; demo.heapwright in your data folder if not given.",
        ),
    ] = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Make an invented garden in a new file, and look at it.

    Everything in it is invented, readings too. A file that is there already is not touched.
    """
    from heapwright.cli.command_today import today_lines
    from heapwright.errors import AlreadyThere
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.today import today

    target = place.data_folder() / place.DEMO_NAME if path is None else Path(path).expanduser()
    if target.exists():
        raise AlreadyThere(
            worded("The file {target} is there already", target=target),
            instead=worded(
                "Look at it with `heapwright today --garden {target}`, or give another name",
                target=target,
            ),
            kept="It was left as it is.",
        )
    with _made(target) as here:
        answer, reader = today(here), reader_for(here, units)
        if as_json:
            screen.put_json({"garden": str(target), "today": to_plain(answer, reader)})
            return
        screen.put(today_lines(here, answer, reader))
        screen.put(["", worded("This garden is in {target}. Try:", target=target)])
        screen.put([worded("  heapwright serve --garden {target} --open", target=target)])


@contextlib.contextmanager
def _made(target: Path) -> Iterator[Garden]:
    """Make the invented garden in a new file; leave none behind if it could not be filled."""
    with place.opened(target, make=True) as here:
        try:
            _fill(here)
        except BaseException:
            here.close()
            for ending in ("", "-wal", "-shm"):
                target.with_name(target.name + ending).unlink(missing_ok=True)
            raise
        yield here


def _has_desktop() -> bool:
    """Whether a browser with windows can be opened; a text browser would take the terminal."""
    if sys.platform in ("win32", "darwin"):
        return True
    return any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY"))


def _fill(garden: Garden) -> None:
    from heapwright.workshop.demo import fill_demo_garden

    fill_demo_garden(garden)


def _ready(address: str) -> None:
    typer.echo(worded("Heapwright is at {address}  (Ctrl-C stops it)", address=address))
