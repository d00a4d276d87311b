"""Finds every form of the pages by following their links, as a stranger would.

Knows HTML and the application's own addresses. Knows nothing of what the forms are for.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

import httpx


@dataclass
class Form:
    """A form that is posted: its address and what it would send as it stands.

    Attributes
    ----------
    action : str
        Path.
    fields : list of (name, values)
        In order; the values a person could choose from, or the one that is written in it.
    has_file : bool
        Whether it sends files.

    """

    action: str
    fields: list[tuple[str, list[str]]] = field(default_factory=list)
    has_file: bool = False

    def offers(self, name: str, value: str) -> None:
        """Note a value that the form offers for a field."""
        for known, values in self.fields:
            if known == name:
                values.append(value)
                return
        self.fields.append((name, [value]))


class PageRead(HTMLParser):
    """Reads a page's links and the forms that are posted."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.links: list[str] = []
        self.forms: list[Form] = []
        self._form: Form | None = None
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "a" and "href" in said:
            self.links.append(urljoin(self.address, said["href"]))
        elif tag == "form":
            posted = said.get("method", "get").lower() == "post"
            action = urlsplit(urljoin(self.address, said.get("action", ""))).path
            self._form = Form(action) if posted else None
        elif self._form is not None:
            self._field(tag, said, self._form)

    def _field(self, tag: str, said: dict[str, str], form: Form) -> None:
        name = said.get("name", "")
        if tag == "input" and said.get("type") == "file":
            form.has_file = True
        if tag in ("input", "textarea", "button") and name:
            form.offers(name, said.get("value", ""))
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            form.offers(self._select, said.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form" and self._form is not None:
            self.forms.append(self._form)
            self._form = None
        elif tag == "select":
            self._select = ""


def pages_of(
    client: httpx.Client, starts: Iterable[str], wanted: Callable[[str], bool], most: int = 400
) -> Iterator[tuple[str, PageRead]]:
    """Yield each page that links lead to, breadth first, with the path it was asked by.

    Parameters
    ----------
    client : httpx.Client
        Follows redirects; links to other hosts are passed over.
    starts : iterable of str
        Paths.
    wanted : callable
        Whether a path is to be asked for, told at its turn.
    most : int
        Paths asked for.

    """
    waiting = deque(starts)
    seen, host = set(waiting), urlsplit(str(client.base_url)).netloc
    while waiting and most:
        path = waiting.popleft()
        if not wanted(path):
            continue
        most -= 1
        answer = client.get(path)
        if not answer.headers.get("content-type", "").startswith("text/html"):
            continue
        page = PageRead(str(answer.url))
        page.feed(answer.text)
        yield path, page
        for link in page.links:
            parts = urlsplit(link)
            there = parts.path + (f"?{parts.query}" if parts.query else "")
            if parts.netloc == host and there not in seen:
                seen.add(there)
                waiting.append(there)


def forms_of(client: httpx.Client, starts: Iterable[str]) -> Iterator[Form]:
    """Yield the forms of the pages that links lead to, one for each address and first fields."""
    told = set()
    for _, page in pages_of(client, starts, lambda path: True):
        for form in page.forms:
            key = (form.action, tuple(name for name, _ in form.fields)[:3])
            if key not in told:
                told.add(key)
                yield form
