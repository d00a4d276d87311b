"""What a person typed into a form: kept word for word, read field by field, with what is wrong.

Knows how fields arrive, how a mistake is held beside its field, and how a form that is sent twice
is known again. Knows nothing of gardens: what a field means is said by the page that asks for it.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Annotated, TypeVar

from fastapi import Depends, Request
from starlette.datastructures import FormData, UploadFile

from heapwright.errors import HeapwrightError, NotUnderstood, OutOfRange
from heapwright.journal import fields
from heapwright.journal.entries import new_entry_id
from heapwright.web import form_token
from heapwright.web.bounds import LARGEST_BODY_BYTES
from heapwright.wording import worded

T = TypeVar("T")

#: The hidden field with the id that the form was given where it was made.
ENTRY_ID = "entry_id"
#: The name under which a mistake is held that belongs to no single field.
WHOLE_FORM = ""
#: No number, name or word of a form is longer; only notes and files are.
LONGEST_SHORT_TEXT = 200
_ENTRY_ID = re.compile(r"[0-9a-f]{32}")
#: What stands where bytes could not be read as letters.
_UNREADABLE = "\ufffd"


class Filled:
    """A form as a person filled it in, and what is wrong with it.

    Parameters
    ----------
    given : iterable of (name, text)
        In the order of the form; a name may come several times.
    files : mapping of name to bytes
        Files that were chosen; those left empty are not in it.
    scope : str
        Tells the fields of several forms on one page apart.

    Attributes
    ----------
    problems : dict of str to HeapwrightError
        By field, in the order found; `WHOLE_FORM` for what belongs to none.

    """

    def __init__(
        self,
        given: Iterable[tuple[str, str]] = (),
        files: Mapping[str, bytes] | None = None,
        scope: str = "",
    ) -> None:
        self.scope = scope
        self.given = tuple(given)
        self.files = dict(files or {})
        self.problems: dict[str, HeapwrightError] = {}

    # What was written.

    def text(self, name: str, default: str = "") -> str:
        """Return what stands in a field, trimmed; `default` while the form is shown first."""
        nothing = default if self.is_empty else ""
        found = next((text for field, text in self.given if field == name), nothing)
        return found.replace("\r\n", "\n").strip()

    def every(self, name: str) -> list[str]:
        """Return every value sent under a name, each once."""
        return list(dict.fromkeys(text for field, text in self.given if field == name))

    def has(self, name: str, value: str, default: str = "") -> bool:
        """Return whether a choice is made; while the form is shown first, whether it is usual."""
        return value == default if self.is_empty else value in self.every(name)

    def sent(self, name: str) -> bool:
        """Return whether the field was sent at all, be it blank."""
        return any(field == name for field, _ in self.given)

    def beginning_with(self, start: str) -> dict[str, str]:
        """Return the fields whose name begins so, without that beginning; blank ones left out."""
        return {
            name[len(start) :]: text.strip()
            for name, text in self.given
            if name.startswith(start) and text.strip()
        }

    def without(self, *names: str) -> list[tuple[str, str]]:
        """Return all fields but some, to be carried along in hidden fields."""
        return [(name, text) for name, text in self.given if name not in names]

    @property
    def is_empty(self) -> bool:
        """Whether nothing was sent: the form is shown for the first time."""
        return not self.given and not self.files

    # What is wrong.

    def wrong(self, name: str, problem: HeapwrightError) -> None:
        """Hold a mistake beside its field; the first one of a field stays."""
        self.problems.setdefault(name, problem)

    def problem(self, name: str) -> HeapwrightError | None:
        """Return what is wrong with a field."""
        return self.problems.get(name)

    @property
    def first_wrong(self) -> str | None:
        """The field to be looked at first; None when none is wrong."""
        return next((name for name in self.problems if name != WHOLE_FORM), None)

    # What it means.

    def read(self, name: str, label: str, reader: Callable[[str], T]) -> T | None:
        """Return what a field says, or None when it is blank or wrong.

        Parameters
        ----------
        name, label : str
            Of the field; the label as a person knows it.
        reader : callable
            Turns the text into a value; a HeapwrightError of it is held beside the field.

        """
        text = self.text(name)
        return None if text == "" else self.read_text(name, label, text, reader)

    def need(self, name: str, label: str, reader: Callable[[str], T], example: str) -> T | None:
        """As `read`, for a field that must not stay blank."""
        if self.text(name) == "":
            self.wrong(
                name,
                NotUnderstood(
                    worded("{label} is missing", label=label),
                    instead=worded("Write {example}", example=example),
                ),
            )
            return None
        return self.read(name, label, reader)

    def read_text(self, name: str, label: str, text: str, reader: Callable[[str], T]) -> T | None:
        """As `read`, of a text that was put together from several fields."""
        try:
            return reader(_sound(label, text))
        except HeapwrightError as problem:
            self.wrong(name, problem)
            return None

    def one_of(self, name: str, label: str, words: Iterable[str]) -> str | None:
        """Return the choice made, None when none was or it is not among them."""
        return self.read(name, label, lambda text: str(fields.choice(words)(label, text)))

    def several_of(self, name: str, label: str, words: Sequence[str]) -> list[str]:
        """Return the choices made; one that is not among them is a mistake of the field."""
        try:
            return [str(fields.choice(words)(label, text)) for text in self.every(name)]
        except HeapwrightError as problem:
            self.wrong(name, problem)
            return []

    def note(self, name: str, label: str = "Note") -> str | None:
        """Return a longer text, None when there is none."""
        text = self.text(name)
        if text == "":
            return None
        try:
            return str(fields.text()(label, _readable(label, text)))
        except HeapwrightError as problem:
            self.wrong(name, problem)
            return None

    # Known again.

    def id_for(self, what: str) -> str:
        """Return the id of an entry that this form makes.

        The same form with the same words in it gives the same id, so that a form sent twice
        stores once; a form that was changed before it was sent again gives a new one.
        """
        words = "\x1f".join(f"{name}\x1e{text}" for name, text in self.given)
        return hashlib.sha256(f"{self.made_id}\x1f{what}\x1f{words}".encode()).hexdigest()[:32]

    @property
    def made_id(self) -> str:
        """The id the form was given on the phone, or by us when it was shown; else a fresh one."""
        if not hasattr(self, "_made_id"):
            sent = self.text(ENTRY_ID)
            self._made_id = sent if _ENTRY_ID.fullmatch(sent) else new_entry_id()
        return self._made_id


def _sound(label: str, text: str) -> str:
    if len(text) > LONGEST_SHORT_TEXT:
        raise OutOfRange(
            worded("{label} is {number} letters long", label=label, number=len(text)),
            why=worded(
                "there is room for {longest_short_text}", longest_short_text=LONGEST_SHORT_TEXT
            ),
            instead="Write it shorter",
        )
    if re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", text):
        raise NotUnderstood(
            worded("{label} holds a sign that is no letter", label=label),
            instead="Type it again by hand",
        )
    return _readable(label, text)


def _readable(label: str, text: str) -> str:
    if _UNREADABLE in text:
        raise NotUnderstood(
            worded("{label} came in letters that cannot be read", label=label),
            why="they were sent in another encoding than UTF-8",
            instead="Type it again on this page",
        )
    return text


async def filled_form(request: Request) -> Filled:
    """Return the form that was sent, with its files."""
    async with request.form(max_part_size=LARGEST_BODY_BYTES) as form:
        return Filled(_texts(form), await _files(form))


def filled_query(request: Request) -> Filled:
    """Return the form that stands in the address."""
    return Filled(request.query_params.multi_items())


def _texts(form: FormData) -> list[tuple[str, str]]:
    """Return what was written; the sign-in's token is no part of it, nor of the form's own id."""
    return [
        (name, value)
        for name, value in form.multi_items()
        if isinstance(value, str) and name != form_token.FIELD
    ]


async def _files(form: FormData) -> dict[str, bytes]:
    found = {}
    for name, value in form.multi_items():
        if isinstance(value, UploadFile):
            data = await value.read()
            if data or value.filename:
                found[name] = data
    return found


#: Write `form: FormHere` in a route's parameters to be handed the form that was sent.
FormHere = Annotated[Filled, Depends(filled_form)]
#: The same for a form that is sent in the address (nothing is stored by it).
QueryHere = Annotated[Filled, Depends(filled_query)]


def within(limit_id: str, label: str, value: float, show: Callable[[float], str]) -> float:
    """Return an SI value that lies within a row of the journal's limits.

    Parameters
    ----------
    limit_id : str
        Row of `journal/limits.csv`.
    label : str
        What the value is, as the person knows it.
    value : float
    show : callable
        Turns an SI value into the person's own units, for the message.

    Raises
    ------
    OutOfRange
        With the limits in the person's units.

    """
    limit = fields.limit(limit_id)
    if limit.low <= value <= limit.high:
        return value
    raise OutOfRange(
        worded("{label} {show}", label=label, show=show(value)),
        why=worded(
            "{quantity} lies between {low} and {high}",
            quantity=limit.quantity,
            low=show(limit.low),
            high=show(limit.high),
        ),
    )
