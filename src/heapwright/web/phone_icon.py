"""Draws the program's sign as a picture of square dots, for a phone's home screen.

Knows the sign's outlines; Pillow fills them and writes the file.
"""

from __future__ import annotations

import io
import re
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

SIZES = (192, 512)
_SIGN = Path(__file__).parent / "static" / "mark.svg"
_SHAPE = re.compile(r'<path fill="#([0-9a-f]{6})" d="([^"]+)"')
_STEP = re.compile(r"([MCcSsz])([^MCcSsz]*)")
_NUMBER = re.compile(r"-?\d*\.?\d+")
#: The ground: --paper of the night (tokens.css), on which cold and hot both stand out.
_GROUND = (0x15, 0x11, 0x10)
#: The sign stays within the circle of 80 % that any mask of a home screen leaves ("safe zone" of
#: maskable icons, W3C Web Application Manifest); its outermost points lie 23 of 40 from its middle.
_SIGN_SHARE = 0.8 / (2 * 23 / 40)
_SIGN_MIDDLE = (20.0, 20.5)
_SIGN_SIDE = 40.0
_FINER = 4  # drawn this much finer down and across, then averaged
_CURVE_STEPS = 24

Points = NDArray[np.float64]


@cache
def icon(size: int) -> bytes:
    """Return the sign as a PNG file.

    Parameters
    ----------
    size : int
        Width and height. [dots]

    Returns
    -------
    bytes
        An opaque picture with 8 bits for each of red, green and blue.

    """
    from PIL import Image, ImageDraw  # loaded when a phone asks for it, as in `journal.picture`

    fine = size * _FINER
    picture = Image.new("RGB", (fine, fine), _GROUND)
    pen = ImageDraw.Draw(picture)
    scale = fine * _SIGN_SHARE / _SIGN_SIDE
    for colour, outline in shapes():
        points = (outline - _SIGN_MIDDLE) * scale + fine / 2
        pen.polygon([(x, y) for x, y in points], fill=colour)
    out = io.BytesIO()
    picture.reduce(_FINER).save(out, "PNG", optimize=True)
    return out.getvalue()


def shapes() -> list[tuple[tuple[int, ...], Points]]:
    """Return the sign's shapes, lowest first: colour, and outline in the sign's own units."""
    found = _SHAPE.findall(_SIGN.read_text(encoding="utf-8"))
    return [(tuple(bytes.fromhex(colour)), _outline(path)) for colour, path in found]


def _outline(path: str) -> Points:
    """Return the points of an outline of cubic curves (SVG path data: M, C, c, S, s, z)."""
    at, handle = np.zeros(2), np.zeros(2)
    points: list[Points] = []
    for command, text in _STEP.findall(path):
        numbers = np.array([float(one) for one in _NUMBER.findall(text)]).reshape(-1, 2)
        if command == "M":
            at = handle = numbers[0]
            points.append(at[None])
        each = 2 if command in "Ss" else 3
        for first in range(0, 0 if command in "Mz" else len(numbers), each):
            given = numbers[first : first + each] + (at if command.islower() else 0)
            begins = 2 * at - handle if command in "Ss" else given[0]
            handle, end = given[-2], given[-1]
            points.append(_curve(at, begins, handle, end))
            at = end
    return np.concatenate(points)


def _curve(start: Points, first: Points, second: Points, end: Points) -> Points:
    t = np.linspace(0, 1, _CURVE_STEPS + 1)[1:, None]
    s = 1 - t
    return s**3 * start + 3 * s**2 * t * first + 3 * s * t**2 * second + t**3 * end
