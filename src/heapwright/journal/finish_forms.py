"""What the results of finish tests and screenings hold: their fields, and which go together.

Knows which numbers each test wants. Judges none of them (`heapwright.finish`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.finish.judge import SMELLS
from heapwright.finish.types import RECORDED, Procedure
from heapwright.journal import fields
from heapwright.journal.body_form import Field, need
from heapwright.wording import worded

_SEEDS = fields.number("seeds", whole=True)
_SOME_SEEDS = fields.number("seeds", whole=True, above_low=True)
_POTS = fields.number("test_pots", whole=True)
_SOME_POTS = fields.number("test_pots", whole=True, above_low=True)
_ROOT = fields.number("root_m")

TEST_FORM: Mapping[str, Field] = {
    "bin": need("Bin", fields.key),
    "procedure": need("Test", fields.choice(RECORDED)),
    "days": Field("Days it ran", fields.number("test_days")),
    "smell": Field("Smell", fields.choice(SMELLS)),
    "sown": Field("Seeds sown", _SOME_SEEDS),
    "up": Field("Seeds up and growing", _SEEDS),
    "control_sown": Field("Seeds sown in clean mix or water", _SOME_SEEDS),
    "control_up": Field("Seeds up in clean mix", _SEEDS),
    "sprouted": Field("Seeds sprouted", _SEEDS),
    "root_m": Field("Mean root length", _ROOT),
    "control_sprouted": Field("Seeds sprouted in water", _SEEDS),
    "control_root_m": Field("Mean root length in water", _ROOT),
    "highest_c": Field("Highest temperature in the flask", fields.number("temperature_c")),
    "air_c": Field("Temperature of the room", fields.number("temperature_c")),
    "dark": Field("Dark", fields.flag),
    "crumbly": Field("Crumbly", fields.flag),
    "food_seen": Field("Food to be made out", fields.flag),
    "left_share": Field("Share of the first volume left", fields.number("share")),
    "pots": Field("Pots with compost", _SOME_POTS),
    "pots_hurt": Field("Pots with cupped or curled leaves", _POTS),
    "control_pots": Field("Clean pots", _SOME_POTS),
    "control_pots_hurt": Field("Clean pots with cupped or curled leaves", _POTS),
    "note": Field("Note", fields.text()),
}

SCREEN_FORM: Mapping[str, Field] = {
    "bin": need("Bin", fields.key),
    "through_m3": Field("What went through", fields.number("used_m3")),
    "mesh_m": Field("Mesh", fields.number("mesh_m", above_low=True)),
    "lot": Field("Lot of the leftovers", fields.key),
    "container_name": Field("Container", fields.text(fields.NAME_LENGTH)),
    "container_volume_m3": Field("Container volume", fields.number("container_volume_m3")),
    "count": Field("Containers", fields.number("container_count", whole=True, above_low=True)),
    "note": Field("Note", fields.text()),
}

#: What each test must tell, and what it may; a note goes with every one.
FIELDS: Mapping[Procedure, tuple[tuple[str, ...], tuple[str, ...]]] = {
    Procedure.BAG: (("days", "smell"), ()),
    Procedure.JAR: (("days", "smell"), ()),
    Procedure.LOOK: (("dark", "crumbly", "food_seen"), ("left_share",)),
    Procedure.RADISH_POT: (("sown", "up"), ("control_sown", "control_up", "days")),
    Procedure.GERMINATION: (
        ("sown", "sprouted", "root_m", "control_sown", "control_sprouted", "control_root_m"),
        ("days",),
    ),
    Procedure.SELF_HEATING: (("highest_c", "air_c"), ("days",)),
    Procedure.BIOASSAY: (
        ("pots", "pots_hurt", "control_pots", "control_pots_hurt", "days"),
        (),
    ),
}
#: Of those in a pair the first cannot be more than the second.
_NOT_MORE = (
    ("up", "sown"),
    ("sprouted", "sown"),
    ("control_up", "control_sown"),
    ("control_sprouted", "control_sown"),
    ("pots_hurt", "pots"),
    ("control_pots_hurt", "control_pots"),
)
_LEFTOVERS = ("lot", "container_name", "container_volume_m3", "count")


def result_together(body: dict[str, Any]) -> None:
    """Refuse a result that lacks what its test needs, holds another's, or counts too many."""
    procedure = Procedure(body["procedure"])
    needed, also = FIELDS[procedure]
    missing = [TEST_FORM[name].label.lower() for name in needed if name not in body]
    if missing:
        raise NotUnderstood(
            worded(
                "The result of the test {procedure} lacks: {missing}",
                procedure=procedure,
                missing=", ".join(missing),
            )
        )
    allowed = {"bin", "procedure", "note", *needed, *also}
    foreign = [TEST_FORM[name].label for name in body if name not in allowed]
    if foreign:
        raise NotUnderstood(
            worded(
                "{foreign} does not belong to the test {procedure}",
                foreign=foreign[0],
                procedure=procedure,
            ),
            instead=worded("It takes: {value}", value=", ".join((*needed, *also))),
        )
    if ("control_sown" in body) != ("control_up" in body) and procedure is Procedure.RADISH_POT:
        raise NotUnderstood(
            "Of the pot with clean mix only one number is told",
            instead="Say how many were sown in it and how many came up",
        )
    for part, whole in _NOT_MORE:
        if part in body and whole in body and body[part] > body[whole]:
            raise OutOfRange(
                worded(
                    "{label} {body} of {body_2}",
                    label=TEST_FORM[part].label,
                    body=body[part],
                    body_2=body[whole],
                ),
                why=worded("it cannot be more than {label}", label=TEST_FORM[whole].label.lower()),
                instead="Count again",
            )


def screening_together(body: dict[str, Any]) -> None:
    """Refuse a screening that tells nothing, or of its leftovers only a part."""
    told = [name for name in _LEFTOVERS if name in body]
    if told and len(told) < len(_LEFTOVERS):
        lacks = [SCREEN_FORM[name].label.lower() for name in _LEFTOVERS if name not in told]
        raise NotUnderstood(worded("Of the leftovers is missing: {lacks}", lacks=", ".join(lacks)))
    if not told and "through_m3" not in body:
        raise NotUnderstood(
            "Neither what went through nor what was left is told",
            instead="Give one of the two, such as 3 pails through and 1 pail left over",
        )
