"""How small the build sheet must be printed so that it fits one page, A4 or Letter.

Knows the paper and the columns of `sheet.css`, and reckons lines from letters. Knows nothing of
layers beyond their words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from heapwright.mixing.types import BuildSheet, Layer
from heapwright.web.build_words import contents
from heapwright.web.layers_picture import LayersPicture

#: Sizes of the letters, largest first, each a class `sheet-<ten times it>` of sheet.css. [pt]
SIZES_PT = (10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0, 5.5, 5.0)
#: What is left of the smaller paper in both directions (Letter's height, A4's width) within the
#: margins of sheet.css, and of the height under the heading's first line. [pt]
_WIDTH_PT, _HEIGHT_PT, _TITLE_PT = 527.0, 728.0, 40.0
#: Columns of sheet.css: the picture's share, the gap [pt], number and figures of a row [em].
_ASIDE, _GAP_PT, _FIGURES_EM = 0.30, 14.0, 22.0
#: Width of a letter and height of a line and of a row's gap, in ems; measured on printed sheets.
_LETTER_EM, _LINE_EM, _ROW_GAP_EM = 0.54, 1.22, 0.42
_SMALLER = 0.95  # steps and cautions are set a little smaller
_KEYS_EM = 9.0  # what the patterns mean, and "Take care"
_MOST_PICTURE_PT = 269.0
_FILLED = 0.95  # never reckon with the last lines of a page


def sheet_size(sheet: BuildSheet, picture: LayersPicture, taken: Sequence[str]) -> str:
    """Return the class of sheet.css with the largest letters that fit one page.

    Parameters
    ----------
    sheet : BuildSheet
    picture : LayersPicture
    taken : sequence of str
        What is taken, as told in the heading.

    """
    fits = (pt for pt in SIZES_PT if _height_pt(sheet, picture, taken, pt) <= _HEIGHT_PT * _FILLED)
    return f"sheet-{next(fits, SIZES_PT[-1]) * 10:.0f}"


def _height_pt(sheet: BuildSheet, picture: LayersPicture, taken: Sequence[str], pt: float) -> float:
    aside_pt = _ASIDE * _WIDTH_PT
    steps_pt = _WIDTH_PT - aside_pt - _GAP_PT
    heading = 1 + _lines("; ".join(taken), _WIDTH_PT, pt)
    beside = aside_pt * picture.height / picture.width
    beside = min(beside, _MOST_PICTURE_PT) + _KEYS_EM * pt
    for text in sheet.cautions:
        beside += (_lines(text, aside_pt, pt * _SMALLER) * _LINE_EM + 0.3) * pt
    return _TITLE_PT + heading * _LINE_EM * pt + max(beside, _steps_pt(sheet.layers, steps_pt, pt))


def _steps_pt(layers: Sequence[Layer], width_pt: float, pt: float) -> float:
    height = 0.0
    seen: set[str] = set()
    for layer in layers:
        words = f"{layer.kind} {', '.join(contents(layer))}"
        lines: float = _lines(words, width_pt - _FIGURES_EM * pt, pt)
        if layer.kind not in seen:
            seen.add(layer.kind)
            lines += _SMALLER * _lines(" ".join(layer.steps), width_pt, pt * _SMALLER)
        height += (lines * _LINE_EM + _ROW_GAP_EM) * pt
    return height


def _lines(text: str, width_pt: float, pt: float) -> int:
    """Return how many lines a text takes."""
    return max(1, math.ceil(len(text) * _LETTER_EM * pt / width_pt))
