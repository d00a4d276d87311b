"""Several forms on one page: which of them came back, what was just stored, and storing once.

Knows nothing of what a form asks for or which page it stands on.
"""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError
from heapwright.sentences import Sentence
from heapwright.web import faults, told
from heapwright.web.forms import WHOLE_FORM, Filled
from heapwright.web.storing import do_once
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import counting


def forms_on_page(form: Filled | None, which: str) -> Callable[[str], Filled]:
    """Return what gives each form of a page by its name: the one that came back, else a blank one.

    Parameters
    ----------
    form : Filled or None
        The form that came back with a mistake.
    which : str
        Its name on the page.

    """
    if form is not None:
        form.scope = f"{which}-"

    def form_of(name: str) -> Filled:
        return form if form is not None and name == which else Filled(scope=f"{name}-")

    return form_of


def just_stored(garden: Garden, entry: str) -> list[tuple[str, Sentence]]:
    """Return an entry's id and what it tells, while it counts; nothing for one taken back."""
    state, standing = garden.state(), counting(garden)
    return [
        (one.id, told.telling(one, state))
        for one in told.found(garden, [entry])
        if one.id in standing
    ]


def store_or_show(
    garden: Garden,
    form: Filled,
    entry_id: str,
    store: Callable[[], object],
    *,
    back: str,
    show: Callable[[int], Response],
) -> Response:
    """Store what a form tells and lead back to its page; show the form again when it is refused.

    Parameters
    ----------
    garden : Garden
    form : Filled
        Holds what was wrong when it is shown again.
    entry_id : str
        Of the entry that `store` makes; stored once however often it is sent.
    store : callable
    back : str
        The page's address.
    show : callable
        Makes the page with the form in it, given the status.

    """
    try:
        do_once(garden, [entry_id], store)
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return show(faults.status_of(problem))
    return RedirectResponse(f"{back}?{urlencode({'entry': entry_id})}", status_code=303)
