"""The command `listen`: takes what probes publish at a broker until it is stopped.

Knows how a broker is named and where its passphrase comes from. Knows nothing of messages.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import GardenPath
from heapwright.wording import worded

VARIABLE = "HEAPWRIGHT_MQTT_PASSPHRASE"


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("listen")(listen)


def listen(
    broker: Annotated[
        str, typer.Option("--broker", metavar="HOST[:PORT]", help="Your MQTT broker.")
    ],
    topic: Annotated[
        str,
        typer.Option("--topic", metavar="WORD", help="What the topics begin with."),
    ] = "heapwright",
    user: Annotated[
        str,
        typer.Option(
            "--user",
            metavar="NAME",
            show_default=False,
            help=f"Account at the broker; its passphrase is asked for, or stands in {VARIABLE}.",
        ),
    ] = "",
    tls: Annotated[bool, typer.Option("--tls", help="Speak encrypted.")] = False,
    authority: Annotated[
        Path | None,
        typer.Option(
            "--ca",
            metavar="FILE",
            show_default=False,
            help="With --tls: the certificate to trust, if it is none of this machine's own.",
        ),
    ] = None,
    garden: GardenPath = None,
) -> None:
    """Take what probes publish at a broker, until Ctrl-C.

    A message is acknowledged only when it is stored; what comes meanwhile, the broker keeps.
    """
    from heapwright.cli.mqtt_listener import (
        Broker,
        Listener,
        authority_of,
        broker_of,
        checked_topic,
    )

    host, port = broker_of(broker, tls=tls)
    named = Broker(host, port, user, _passphrase(user), tls, authority_of(authority))
    with place.opened(garden) as here:
        listener = Listener(here, named, checked_topic(topic), _tell)
        with _stopping(listener.stop):
            listener.run()
        _tell("Stopped. Everything that was acknowledged is saved.")


@contextmanager
def _stopping(stop: Callable[[], None]) -> Iterator[None]:
    """Let Ctrl-C and the machine's going down end the work between two messages.

    An exception raised wherever the program happens to be could be lost there (in a destructor),
    or break off a message that is half stored.
    """
    asked = (signal.SIGINT, signal.SIGTERM)
    before = [signal.signal(one, lambda *_: stop()) for one in asked]
    try:
        yield
    finally:
        for one, handler in zip(asked, before, strict=True):
            signal.signal(one, handler)


def _passphrase(user: str) -> str:
    if not user:
        return ""
    kept = os.environ.get(VARIABLE, "")
    return kept or str(typer.prompt(worded("Passphrase of {user}", user=user), hide_input=True))


def _tell(line: str) -> None:
    # A line holds what strangers published: no sign of it may steer the terminal.
    shown = "".join(sign if sign.isprintable() else "?" for sign in screen.told(line))
    print(shown, flush=True)
