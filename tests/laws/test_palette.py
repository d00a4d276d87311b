"""The palette keeps its promises: contrast in sun, a heat scale that is read by lightness alone.

Contrast by the formula of WCAG 2.2 (W3C recommendation, "relative luminance", "contrast ratio");
colour blindness by Machado, Oliveira, Fernandes, "A Physiologically-based Model for Simulation of
Color Vision Deficiency", IEEE TVCG 15 (2009), table of severity 1.0; lightness L* by CIE 1976.
"""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest

from heapwright.web import scales
from heapwright.web.heat import STEPS, heat_step
from heapwright.web.static_files import FOLDER

TEXT_CONTRAST = 7.0  # issue 5: numbers and text in full sun
LEAST_CONTRAST = 4.5  # WCAG 2.2, success criterion 1.4.3
EDGE_CONTRAST = 3.0  # WCAG 2.2, success criterion 1.4.11: parts of controls
GROUNDS = ("paper", "card", "sunk")
SCHEMES = ("light", "dark")
COLOUR_BLINDNESS = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


@cache
def tokens(scheme: str) -> dict[str, str]:
    """The colours of the style sheets by name, as the scheme sees them."""
    found: dict[str, str] = {}
    for name in ("tokens.css", "chart.css", "cut.css"):
        css = (FOLDER / name).read_text()
        light, *dark = re.split(r"@media screen and \(prefers-color-scheme: dark\)", css)
        parts = [light.split("{", 1)[1]]
        if scheme == "dark":
            parts += [part.split("}\n}", 1)[0] for part in dark]
        for part in parts:
            found.update(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", part))
    return found


def linear(colour: str) -> np.ndarray:
    """Linear red, green, blue of a hexadecimal colour."""
    parts = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def luminance(rgb: np.ndarray) -> float:
    """Relative luminance."""
    return float(np.clip(rgb, 0, 1) @ [0.2126, 0.7152, 0.0722])


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours."""
    low, high = sorted((luminance(linear(one)), luminance(linear(other))))
    return (high + 0.05) / (low + 0.05)


def lightness(rgb: np.ndarray) -> float:
    """L* of a colour, 0 to 100."""
    y = luminance(rgb)
    return 116 * np.cbrt(y) - 16 if y > 216 / 24389 else y * 24389 / 27


def test_contrast_is_computed_as_wcag_does() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("words", ["ink", "soft", "act", "water", "alarm"])
def test_words_stand_out_from_every_ground(scheme: str, ground: str, words: str) -> None:
    found = tokens(scheme)
    assert contrast(found[words], found[ground]) >= TEXT_CONTRAST


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("colour", ["act", "alarm"])
def test_words_on_a_coloured_ground_stand_out(scheme: str, colour: str) -> None:
    found = tokens(scheme)
    assert contrast(found[f"{colour}-ink"], found[colour]) >= TEXT_CONTRAST


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", GROUNDS)
def test_edges_of_controls_are_seen(scheme: str, ground: str) -> None:
    found = tokens(scheme)
    assert contrast(found["edge"], found[ground]) >= EDGE_CONTRAST


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_likely_line_stands_out_from_its_band(scheme: str) -> None:
    found = tokens(scheme)
    assert contrast(found["ink"], found["curve-band"]) >= LEAST_CONTRAST


def heat_scale() -> list[np.ndarray]:
    """The heat scale from cold to hot."""
    return [linear(tokens("light")[f"heat-{step}"]) for step in range(STEPS)]


def test_both_schemes_share_one_heat_scale() -> None:
    for step in range(STEPS):
        assert tokens("light")[f"heat-{step}"] == tokens("dark")[f"heat-{step}"]


@pytest.mark.parametrize("eyes", ["full", *COLOUR_BLINDNESS])
def test_hotter_is_always_lighter_whatever_the_eyes(eyes: str) -> None:
    matrix = np.array(COLOUR_BLINDNESS.get(eyes, np.eye(3)))
    steps = [lightness(matrix @ colour) for colour in heat_scale()]
    apart = np.diff(steps)
    assert apart.min() >= 3.0, steps  # about three just noticeable differences


def water_scale() -> list[np.ndarray]:
    """The water scale from dry to wet."""
    return [linear(tokens("light")[f"damp-{step}"]) for step in range(STEPS)]


@pytest.mark.parametrize("eyes", ["full", *COLOUR_BLINDNESS])
def test_wetter_is_always_darker_whatever_the_eyes(eyes: str) -> None:
    matrix = np.array(COLOUR_BLINDNESS.get(eyes, np.eye(3)))
    steps = [lightness(matrix @ colour) for colour in water_scale()]
    assert np.diff(steps).max() <= -3.0, steps


def test_dots_and_waves_stand_out_from_the_water_under_them() -> None:
    found = tokens("light")
    css = (FOLDER / "cut.css").read_text()
    dots, waves = (
        re.search(rf"\.cut-{name} \{{[^}}]*?(#[0-9a-f]{{6}})", css) for name in ("dots", "waves")
    )
    assert dots and waves
    scale = scales.water_scale()
    for step in range(STEPS):
        ground = found[f"damp-{step}"]
        if scale.dry is not None and step < STEPS - 1 and scale.edges[step] <= scale.dry:
            assert contrast(dots[1], ground) >= EDGE_CONTRAST
        if scale.wet is not None and step > 0 and scale.edges[step - 1] >= scale.wet:
            assert contrast(waves[1], ground) >= EDGE_CONTRAST


def test_the_steps_of_the_scale_are_even() -> None:
    apart = np.diff([lightness(colour) for colour in heat_scale()])
    assert apart.max() <= 2.0 * apart.min()


def test_a_hotter_temperature_never_gets_a_cooler_step() -> None:
    steps = [heat_step(celsius) for celsius in np.arange(-40.0, 120.0, 0.25)]
    assert steps == sorted(steps)
    assert (min(steps), max(steps)) == (0, STEPS - 1)


def test_no_style_is_written_where_the_policy_forbids_it() -> None:
    """Inline styles and scripts would silently not work under the content policy."""
    for path in (FOLDER.parent / "templates").glob("*.html"):
        text = re.sub(r"\{#.*?#\}", "", path.read_text(), flags=re.S)
        assert not re.search(r"\sstyle=|\son\w+=|<style|<script(?![^>]*(src=|json))", text), path
