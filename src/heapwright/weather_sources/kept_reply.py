"""Keeps the last good reply of a forecast service in a folder, with the time it came.

Knows files and JSON only. A kept reply that is damaged counts as none.
"""

from __future__ import annotations

import json
import math
import os
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from heapwright.errors import WeatherProblem
from heapwright.wording import worded

FILE_NAME = "last-forecast.json"
FAILURE_NAME = "last-forecast-failure.json"


@dataclass(frozen=True, slots=True)
class KeptReply:
    """A reply and when it came.

    Attributes
    ----------
    reply : dict
        As the service sent it.
    came : datetime
        UTC.
    asked : str
        What it answers (service and place), so that a moved garden does not get the old sky.

    """

    reply: dict[str, Any]
    came: datetime
    asked: str

    def age_h(self, now: datetime) -> float:
        """Return how old it is [h]; never negative, whatever the clock did."""
        return max(0.0, (now - self.came).total_seconds() / 3600.0)


def load(folder: Path, asked: str) -> KeptReply | None:
    """Return the kept reply to the same question, or None."""
    try:
        kept = json.loads((folder / FILE_NAME).read_text(encoding="utf-8"))
        reply, came = kept["reply"], datetime.fromisoformat(kept["came"])
        if kept["asked"] != asked or not isinstance(reply, dict) or came.tzinfo is None:
            return None
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return KeptReply(reply, came.astimezone(UTC), asked)


def note_failure(folder: Path, asked: str, when: datetime) -> None:
    """Remember that asking failed, so that the next page does not wait for it again."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / FAILURE_NAME).write_text(
            json.dumps({"asked": asked, "failed": when.isoformat()}), encoding="utf-8"
        )
    except OSError:
        return  # not remembering costs a wait, nothing else


def hours_since_failure(folder: Path, asked: str, now: datetime) -> float:
    """Return how long ago asking failed [h]; infinite if it did not, or nothing is remembered."""
    try:
        kept = json.loads((folder / FAILURE_NAME).read_text(encoding="utf-8"))
        if kept["asked"] != asked:
            return math.inf
        passed_s = (now - datetime.fromisoformat(kept["failed"])).total_seconds()
    except (OSError, ValueError, KeyError, TypeError):
        return math.inf
    # A clock set back must not silence the service for ever.
    return passed_s / 3600.0 if passed_s >= 0.0 else math.inf


def save(folder: Path, kept: KeptReply) -> None:
    """Keep a reply, whole or not at all.

    Raises
    ------
    WeatherProblem
        If the folder cannot be written.

    """
    text = json.dumps(
        {"came": kept.came.isoformat(), "asked": kept.asked, "reply": kept.reply}, indent=1
    )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        os.replace(name, folder / FILE_NAME)
    except OSError as problem:
        raise WeatherProblem(
            worded(
                "The forecast came, but could not be kept: {strerror}",
                strerror=problem.strerror or problem,
            ),
            instead="Check the disk and the data folder",
            kept="Your entries are not touched.",
        ) from problem
