"""The words of templates in the reader's language: `_`, `ngettext`, and whatever a page puts out.

Knows how Jinja asks for words. Knows no language: that is the reader's.
"""

from __future__ import annotations

from typing import Any

from jinja2 import pass_context
from jinja2.runtime import Context
from markupsafe import Markup

from heapwright.sentences import Reader
from heapwright.wording import ENGLISH, Told


@pass_context
def text(context: Context, message: str, **values: Any) -> str:
    """Return a message of a template: `_("In %(bin)s", bin=bin.name)`."""
    reader = _reader(context)
    told = message if reader is None else reader.told(message)
    return _filled(context, told, values)


@pass_context
def plural(context: Context, one: str, many: str, num: float, **values: Any) -> str:
    """Return the form of a message for a number: `ngettext("%(num)s bin", "%(num)s bins", 3)`."""
    reader = _reader(context)
    language = ENGLISH if reader is None else reader.language
    return _filled(context, language.plural(one, many, num), {"num": num, **values})


@pass_context
def told(context: Context, value: Any) -> Any:
    """Return what a template puts out, told in the reader's language if it can be."""
    if not isinstance(value, Told):
        return value
    reader = _reader(context)
    return str(value) if reader is None else reader.told(value)


def _is_plain(value: Any) -> bool:
    return isinstance(value, str) and not isinstance(value, Markup)


def _reader(context: Context) -> Reader | None:
    return context.get("reader")


def _filled(context: Context, message: str, values: dict[str, Any]) -> str:
    """Put the values in; in a page that escapes they are escaped, the message is not.

    Words among them (the name of a material, of a container) are looked up in the catalogue too;
    a person's own name for a thing is not in it and stays.
    """
    reader = _reader(context)
    shown = {
        name: reader.told(value) if _is_plain(value) and reader is not None else value
        for name, value in values.items()
    }
    pattern = Markup(message) if context.eval_ctx.autoescape else message
    # As gettext's own form in Jinja, a per cent sign in a message is always written twice.
    return pattern % shown
