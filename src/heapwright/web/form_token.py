"""Puts the sign-in's token into every form that posts, when its template is read.

No page has to remember it and none can forget it. Knows the form's tag; the token itself is handed
to the template as `form_token`, empty where nobody signs in.
"""

from __future__ import annotations

import re

from jinja2.ext import Extension

#: The hidden field's name; `web.forms` leaves it out of what a person filled in.
FIELD = "form_token"
#: The same for what is no form (JSON, a phone's own sending), as a header.
HEADER = "heapwright-token"
#: How a form arrives; what comes otherwise brings the token in the header.
CONTENT_TYPES = ("application/x-www-form-urlencoded", "multipart/form-data")
_POSTS = re.compile(r"<form\b[^>]*\bmethod=\"post\"[^>]*>", re.IGNORECASE)
_HIDDEN = (
    "{% if form_token %}"
    f'<input type="hidden" name="{FIELD}" value="{{{{ form_token }}}}" autocomplete="off">'
    "{% endif %}"
)


class FormTokens(Extension):
    """The template extension; `pages.environment` installs it."""

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:
        """Return a template's source with the hidden field in every form that posts."""
        return _POSTS.sub(lambda tag: tag.group() + _HIDDEN, source)
