"""Renews the catalogue of words: `python -m tools.words`.

Writes src/heapwright/locale/heapwright.pot from the program's texts, brings each language's .po to
the same entries (translations are kept, what is no longer said is dropped) and compiles its .mo.
Says how many are still to be translated.
"""

from __future__ import annotations

import io
from datetime import UTC, datetime
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from heapwright.wording.language import DATE_PATTERNS
from tools.word_sources import SOURCE, every_text

LOCALE = SOURCE / "locale"
TEMPLATE = LOCALE / "heapwright.pot"
TRANSLATED = ("es",)
#: How many forms a language has for a number and which one it takes, in gettext's writing. CLDR
#: has a third for whole millions of Spanish, which no heap reaches.
_PLURALS = {"es": "nplurals=2; plural=(n != 1);"}
_UNDATED = datetime(2026, 1, 1, tzinfo=UTC)
_UNIT_WORDS = ("cups", "not known")


def catalogue() -> Catalog:
    """Return the catalogue without translations, its entries in the order of files."""
    made = Catalog(domain="heapwright", project="heapwright", fuzzy=False)
    for word in (*DATE_PATTERNS, *_UNIT_WORDS):
        made.add(word, locations=[("src/heapwright/wording/language.py", 1)])
    for text, path in every_text():
        made.add(text, locations=[(path, 1)])
    return made


def po_path(language: str) -> Path:
    """Return where a language's translations stand."""
    return LOCALE / language / "LC_MESSAGES" / "heapwright.po"


def renewed(language: str, template: Catalog) -> Catalog:
    """Return a language's catalogue with the entries of the template."""
    path = po_path(language)
    if path.exists():
        with path.open("rb") as file:
            known = read_po(file, locale=language)
    else:
        known = Catalog(locale=language, domain="heapwright", project="heapwright", fuzzy=False)
        known.mime_headers = [("Plural-Forms", _PLURALS[language])]
    known.update(template, no_fuzzy_matching=True)
    known.obsolete.clear()
    known.fuzzy = False
    return known


def as_po(words: Catalog) -> bytes:
    """Return a catalogue as a .po holds it: without line numbers and dates, which only churn."""
    text = io.BytesIO()
    write_po(text, words, width=99, include_lineno=False, sort_output=False, omit_header=False)
    lines = text.getvalue().decode().splitlines(keepends=True)
    dated = (
        '"POT-Creation-Date',
        '"PO-Revision-Date',
        '"Generated-By',
        '"Report-Msgid',
        '"Last-Translator',
        '"Language-Team',
        "# ",
    )
    return "".join(line for line in lines if not line.startswith(dated)).encode()


def as_mo(words: Catalog) -> bytes:
    """Return a catalogue compiled."""
    packed = io.BytesIO()
    # Its header would tell the moment it was made, and differ each time.
    words.creation_date = words.revision_date = _UNDATED
    write_mo(packed, words)
    return packed.getvalue()


def _forms(entry: Message) -> list[str]:
    return [entry.string] if isinstance(entry.string, str) else list(entry.string or ("",))


def main() -> None:
    """Renew every file of the catalogue and say what lacks."""
    template = catalogue()
    LOCALE.mkdir(exist_ok=True)
    TEMPLATE.write_bytes(as_po(template))
    for language in TRANSLATED:
        words = renewed(language, template)
        path = po_path(language)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(as_po(words))
        with path.open("rb") as file:
            path.with_suffix(".mo").write_bytes(as_mo(read_po(file, locale=language)))
        lacking = [one.id for one in words if one.id and not all(_forms(one))]
        print(f"{language}: {len(words)} texts, {len(lacking)} to be translated")


if __name__ == "__main__":
    main()
