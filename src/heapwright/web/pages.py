"""Turns a workshop answer into a page: the Jinja environment, its filters, and `render`.

In every template there are, besides what the route passes:
  `reader`   sentences.Reader of the garden (its units)
  `zone`     the garden's time zone, `now` the present moment there
  `garden`   the garden's settings (journal.GardenSettings): name, is_demo, units, ...
  `degree`   "°F" or "°C", to stand beside a bare number
  `language` its code, for `<html lang>`
  `you`      who is signed in (people.sign_ins.SignedIn), None where nobody has to; `may.keep` and
             `may.own` tell what may be offered, `at_the_door` that somebody still has to sign in
  `asset("heapwright.css")`   the address of a file in static/
  `_("Log a reading")`        every visible word of a template goes through it (gettext);
                              a per cent sign inside is written %%

Filters: a `Sentence` or plain words `|say`, a list of words `|told`; SI numbers `|temperature
|water |mass |volume |distance |area |share |days |hours |rain` (rain in mm; `|length` is Jinja's
own count); `|degrees` for the bare number, `|heat` for the class of its colour ("heat-8"); moments
`|when |day |long_day |clock |ago |iso`; `|fresh` tells whether a moment still counts as today's.
Macros that use a filter must be imported "with context".
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime, timedelta
from functools import cache
from operator import methodcaller
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context, select_autoescape
from jinja2.runtime import Context
from starlette.requests import Request
from starlette.responses import HTMLResponse

from heapwright.advice.signs import limits
from heapwright.errors import HeapwrightError
from heapwright.journal.entries import GardenSettings
from heapwright.people import sign_ins
from heapwright.people.roles import Role
from heapwright.quantities import UnitSystem
from heapwright.sentences import Measure, Reader
from heapwright.web import here, page_words, roles, sessions, static_files, words
from heapwright.web.form_token import FormTokens
from heapwright.web.heat import heat_class

TEMPLATES = Path(__file__).parent / "templates"


@cache
def environment() -> Environment:
    """Return the one template environment: escaping on, an unknown name is an error."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=select_autoescape(["html", "svg"]),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n", FormTokens],
    )
    methodcaller("install_gettext_callables", page_words.text, page_words.plural, newstyle=False)(
        made
    )
    made.globals["_"] = page_words.text
    # Texts that remember what they were made of are told in the reader's language wherever
    # a template puts them.
    made.finalize = page_words.told
    made.globals["asset"] = static_files.address
    made.filters.update(_filters())
    return made


def render(
    request: Request, template: str, *, status_code: int = 200, **context: Any
) -> HTMLResponse:
    """Return the page made of `template` (a name in templates/) and `context`.

    Parameters
    ----------
    request : Request
        Whose garden and address are meant.
    template : str
        Such as "today.html".
    status_code : int, default 200
        4xx when the page shows a mistake.
    **context
        What the template asks for.

    """
    page = environment().get_template(template)
    html = page.render({**_surroundings(request), **context})
    return HTMLResponse(html, status_code=status_code)


def _surroundings(request: Request) -> dict[str, Any]:
    """Return what every template may use; defaults when the journal cannot be read just now."""
    try:
        garden = here.garden_of(request)
        found: dict[str, Any] = {
            "garden": garden.state().settings,
            "reader": here.reader_of(request),
            "zone": here.zone_of(garden),
            "now": here.now_in(garden),
        }
    except HeapwrightError:
        found = {
            "garden": GardenSettings(),
            "reader": Reader(UnitSystem.US, here.wished_language(request)),
            "zone": UTC,
            "now": datetime.now(UTC),
        }
    degree = f"°{found['reader'].units.temperature_unit}"
    language = found["reader"].language.code
    where = {"degree": degree, "path": request.url.path, "language": language}
    return {**found, **where, **_visitor(request)}


def _visitor(request: Request) -> dict[str, Any]:
    """Return who looks at the page; on a machine that shares with nobody, its owner."""
    try:
        visit = sessions.visit_of(request)
    except HeapwrightError:
        # Somebody at the door of a shared garden: no name, no token, nothing to do.
        return {"you": None, "may": roles.May(Role.HELPER), "form_token": "", "at_the_door": True}
    you = visit.signed_in
    token = "" if you is None else sign_ins.form_token(you.form_secret)
    return {"you": you, "may": roles.May(visit.role), "form_token": token, "at_the_door": False}


def _filters() -> Mapping[str, Callable[..., Any]]:
    measures = {
        "temperature": Measure.TEMPERATURE,
        "water": Measure.WATER,
        "mass": Measure.MASS,
        "volume": Measure.VOLUME,
        "distance": Measure.LENGTH,
        "area": Measure.AREA,
        "share": Measure.SHARE,
        "days": Measure.DAYS,
        "hours": Measure.HOURS,
    }
    return {
        **{name: _amount_filter(measure) for name, measure in measures.items()},
        "say": _say,
        "told": _told,
        "degrees": _degrees,
        "rain": _rain,
        "heat": heat_class,
        "when": _when,
        "day": _day,
        "long_day": _long_day,
        "day_number": _day_number,
        "clock": _clock,
        "ago": _ago,
        "iso": _iso,
        "fresh": _fresh,
    }


def _amount_filter(measure: Measure) -> Callable[..., str]:
    @pass_context
    def show(context: Context, number: float) -> str:
        return words.amount(number, measure, context["reader"])

    return show


@pass_context
def _say(context: Context, sentence: Any) -> str:
    return words.say(sentence, context["reader"])


@pass_context
def _told(context: Context, texts: Iterable[str]) -> list[str]:
    """Return a list of plain words, each told in the reader's language, to be joined."""
    return [context["reader"].told(text) for text in texts]


@pass_context
def _degrees(context: Context, celsius: float) -> str:
    """Only the number, for the big numerals; the unit stands beside it."""
    return words.degrees(celsius, context["reader"])


@pass_context
def _rain(context: Context, millimetres: float) -> str:
    return words.rain(millimetres, context["reader"])


@pass_context
def _when(context: Context, moment: datetime) -> str:
    return words.when(moment, context["zone"], context["now"], context["reader"].language)


@pass_context
def _day(context: Context, moment: datetime) -> str:
    return words.day(moment, context["zone"], context["now"], context["reader"].language)


@pass_context
def _long_day(context: Context, moment: datetime) -> str:
    return words.long_day(moment, context["zone"], context["reader"].language)


@pass_context
def _day_number(context: Context, age_days: float) -> int:
    """Return the day a heap of that age is in, as the calendar counts and its pictures do."""
    now: datetime = context["now"]
    return words.day_number(now - timedelta(days=age_days), now, context["zone"])


@pass_context
def _clock(context: Context, moment: datetime) -> str:
    return words.clock(moment, context["zone"])


@pass_context
def _ago(context: Context, moment: datetime) -> str:
    return words.ago(moment, context["now"], context["reader"].language)


@pass_context
def _fresh(context: Context, moment: datetime) -> bool:
    """Whether a reading of that moment still counts as today's, by the advice's own limit."""
    hours = limits()["fresh_reading_hours"]
    return bool(context["now"] - moment <= timedelta(hours=hours))


def _iso(moment: datetime) -> str:
    """For `<time datetime>`: UTC to the minute."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%MZ")
