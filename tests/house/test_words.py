"""Is every word of the program in the catalogue, and every one of them translated?

`python -m tools.words` renews the catalogue; a translator fills in what lacks. Plural rules and
dates are those of Babel, which takes them from CLDR (https://cldr.unicode.org).
"""

from __future__ import annotations

import string
from datetime import datetime

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from heapwright.wording import ENGLISH, language, languages, preferred, worded
from heapwright.wording.language import DATE_PATTERNS
from tools import words

REMEDY = "run `python -m tools.words`, then translate what lacks"


@pytest.fixture(scope="module")
def fresh() -> Catalog:
    """The catalogue as the program's text says it now."""
    return words.catalogue()


@pytest.fixture(scope="module", params=words.TRANSLATED)
def translated(request: pytest.FixtureRequest) -> Catalog:
    """A language's catalogue as it is kept."""
    with words.po_path(request.param).open("rb") as file:
        return read_po(file, locale=request.param)


def test_the_kept_template_holds_what_the_program_says(fresh: Catalog) -> None:
    with words.TEMPLATE.open("rb") as file:
        kept = {_key(entry) for entry in read_po(file) if entry.id}
    said = {_key(entry) for entry in fresh if entry.id}
    assert said - kept == set(), REMEDY
    assert kept - said == set(), REMEDY


def test_everything_is_translated(fresh: Catalog, translated: Catalog) -> None:
    known = {_key(entry): entry for entry in translated if entry.id}
    lacking = [entry.id for entry in fresh if entry.id and not _is_whole(known.get(_key(entry)))]
    assert lacking == [], REMEDY
    assert [entry.id for entry in translated if entry.fuzzy and entry.id] == []


def test_a_translation_names_the_same_values(translated: Catalog) -> None:
    wrong = []
    for entry in translated:
        forms = [entry.string] if isinstance(entry.string, str) else list(entry.string)
        ids = [entry.id] if isinstance(entry.id, str) else list(entry.id)
        wished = set().union(*(_places(form) for form in ids))
        for form in forms if entry.id else ():
            # The form for one may leave its number out: "un día".
            if (len(ids) == 1 and _places(form) != wished) or not _places(form) <= wished:
                wrong.append((entry.id, form))
    assert wrong == []


def test_the_compiled_catalogue_is_the_kept_one(translated: Catalog) -> None:
    name = str(translated.locale)
    assert words.po_path(name).with_suffix(".mo").read_bytes() == words.as_mo(translated), REMEDY


def test_every_language_offered_has_its_words() -> None:
    offered = {code.partition("-")[0] for code in languages()} - {"en"}
    assert offered == set(words.TRANSLATED)


@pytest.mark.parametrize(
    ("accepted", "code"),
    [
        ("es-MX,es;q=0.9,en;q=0.8", "es-419"),  # RFC 9110, 12.5.4
        ("es-ES,es;q=0.9", "es"),
        ("de,en;q=0.5,es;q=0.7", "es"),
        ("en-GB,es;q=0.5", "en"),
        ("es;q=0, en", "en"),
        ("fr", "en"),
        ("", "en"),
    ],
)
def test_the_browsers_wish_decides(accepted: str, code: str) -> None:
    assert preferred(accepted) == code


def test_the_decimal_mark_is_the_languages() -> None:
    told = worded("about {share:.1f} of {of}", share=2.5, of="x")
    assert ENGLISH.told(told) == "about 2.5 of x"
    assert language("es").figure("2.5 ft³") == "2,5 ft³"  # CLDR: comma in es, point in es-419
    assert language("es-419").figure("2.5 ft³") == "2.5 ft³"


def test_every_form_of_a_date_can_be_written_in_every_language() -> None:
    moment = datetime(2026, 3, 3, 7, 40)
    for code in languages():
        for pattern in DATE_PATTERNS:
            assert language(code).date(moment, pattern).strip()
    assert language("es").date(moment, "EEEE d MMMM") == "martes 3 de marzo"
    assert ENGLISH.date(moment, "EEE d MMMM y") == "Tue 3 March 2026"


def _key(entry: Message) -> tuple[str, ...]:
    return (entry.id,) if isinstance(entry.id, str) else tuple(entry.id)


def _is_whole(entry: Message | None) -> bool:
    if entry is None:
        return False
    return bool(entry.string) if isinstance(entry.string, str) else all(entry.string)


def _places(text: str) -> set[str]:
    """Return the named places of a text: {name:spec} and %(name)s."""
    found = {word.split(")")[0] for word in text.split("%(")[1:]}
    try:
        for _, name, spec, conversion in string.Formatter().parse(text):
            if name:
                found.add(f"{name}!{conversion or ''}:{spec}")
    except ValueError:  # a brace of another writing, such as JSON's
        found.add("unreadable")
    return found
