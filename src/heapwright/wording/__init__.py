"""Words that remember what they were made of, and the languages they can be told in.

Knows templates, plurals, lists and the catalogue of translations. Knows nothing of units, heaps
or pages: a floor above writes English with `worded(...)` and a face tells it in the reader's
language.
"""

from heapwright.wording.language import ENGLISH, Language, language, languages, preferred
from heapwright.wording.said import (
    Figure,
    Said,
    Told,
    apart,
    counted,
    dated,
    joined,
    listed,
    lower_first,
    plural_word,
    running,
    upper_first,
    worded,
)

__all__ = [
    "ENGLISH",
    "Figure",
    "Language",
    "Said",
    "Told",
    "apart",
    "counted",
    "dated",
    "joined",
    "language",
    "languages",
    "listed",
    "lower_first",
    "plural_word",
    "preferred",
    "running",
    "upper_first",
    "worded",
]
