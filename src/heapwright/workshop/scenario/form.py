"""The form of a whole scenario for `heapwright simulate`, and its JSON Schema.

Knows which parts a scenario has. Their forms are in `heap_form` and `weather_form`; how a fault is
told stands in `faults`.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from heapwright.workshop.scenario.fields import Form, unsaid, without_noise
from heapwright.workshop.scenario.heap_form import (
    MOST_ITEMS,
    ActionForm,
    BinForm,
    FillForm,
    ProbeForm,
)
from heapwright.workshop.scenario.weather_form import MOST_DAYS, WeatherForm


class ScenarioForm(Form):
    """One heap: its bin, what goes in, its weather, what is done to it, what is read."""

    bin: BinForm
    fill: FillForm
    weather: WeatherForm
    actions: Annotated[list[ActionForm], Field(max_length=MOST_ITEMS)] = Field(
        default=[], description="What is done to it, in any order."
    )
    probes: Annotated[list[ProbeForm], Field(min_length=1, max_length=MOST_ITEMS)] | None = unsaid(
        "Thermometers; one in the middle if not given."
    )
    days: Annotated[float, Field(gt=0.0, le=MOST_DAYS)] | None = unsaid(
        "How long; as long as the rows of `hours`, else 30. [days]"
    )
    grid: Literal["usual", "fine"] = Field(
        default="fine",
        description="How finely the heap is cut: fine for answers, usual is quicker.",
    )
    note: Annotated[str, Field(max_length=2000)] | None = unsaid("Anything, for people.")


def scenario_schema() -> dict[str, Any]:
    """Return the JSON Schema of a scenario."""
    schema = without_noise(ScenarioForm.model_json_schema(mode="validation"))
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A heap, as `heapwright simulate FILE` reads it",
        **schema,
    }
