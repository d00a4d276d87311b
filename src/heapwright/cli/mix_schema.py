"""The JSON Schema of a mixture given with explicit numbers, for `heapwright schema`.

Knows the names and kinds of that document's fields. What values can be true is checked where they
are read (`mixing.explicit`), with a sentence that says what would be right.
"""

from __future__ import annotations

from typing import Any

_SHARE = {"type": "number", "minimum": 0, "maximum": 1}

PART: dict[str, Any] = {
    "type": "object",
    "additionalProperties": False,
    "required": ["moisture"],
    "properties": {
        "name": {"type": "string", "description": "What it is; for messages only."},
        "mass_kg": {"type": "number", "minimum": 0, "description": "Wet (as-is) mass. [kg]"},
        "volume_m3": {
            "type": "number",
            "minimum": 0,
            "description": "Instead of mass_kg, together with bulk_density_kg_m3. [m³]",
        },
        "moisture": {**_SHARE, "description": "Water as share of wet mass."},
        "nitrogen_dry": {
            **_SHARE,
            "description": 'Nitrogen as share of dry mass (of wet mass with basis "wet").',
        },
        "carbon_dry": {
            **_SHARE,
            "description": 'Carbon as share of dry mass (of wet mass with basis "wet").',
        },
        "c_to_n": {
            "type": "number",
            "exclusiveMinimum": 0,
            "description": "C:N by mass; may stand for nitrogen_dry or for carbon_dry.",
        },
        "bulk_density_kg_m3": {
            "type": "number",
            "exclusiveMinimum": 0,
            "description": "Wet mass per volume as it lies. [kg/m³]",
        },
        "ash_dry": {
            **_SHARE,
            "description": 'Ash as share of dry mass (of wet mass with basis "wet").',
        },
    },
    "oneOf": [
        {"required": ["mass_kg"]},
        {"required": ["volume_m3", "bulk_density_kg_m3"]},
    ],
    "anyOf": [
        {"required": ["nitrogen_dry", "carbon_dry"]},
        {"required": ["nitrogen_dry", "c_to_n"]},
        {"required": ["carbon_dry", "c_to_n"]},
    ],
}

EXAMPLE: dict[str, Any] = {
    "parts": [
        {
            "name": "A",
            "mass_kg": 10,
            "moisture": 0.77,
            "nitrogen_dry": 0.024,
            "carbon_dry": 0.45,
            "bulk_density_kg_m3": 208,
        }
    ],
    "target_moisture": 0.55,
}

MIX: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "A mixture with explicit properties, as `heapwright mix FILE` reads it",
    "type": "object",
    "additionalProperties": False,
    "required": ["parts"],
    "properties": {
        "parts": {"type": "array", "minItems": 1, "items": PART},
        "target_moisture": {
            "type": "number",
            "minimum": 0,
            "exclusiveMaximum": 1,
            "description": "Moisture wished for; answers water_to_add_kg. Share of wet mass.",
        },
        "water_kg": {"type": "number", "minimum": 0, "description": "Water added already. [kg]"},
        "basis": {
            "enum": ["dry", "wet"],
            "default": "dry",
            "description": "What nitrogen, carbon and ash are shares of.",
        },
    },
    "examples": [EXAMPLE],
}
