"""A forecast from an open service, if and only if a person has switched it on.

Knows one form of question and reply (JSON with hourly columns, as Open-Meteo documents it). Keeps
the last good reply and says how old it is when it has to be used. Knows nothing of heaps.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.tables import read_toml
from heapwright.weather.checks import series_from_hours
from heapwright.weather.raw import Place, RawHours
from heapwright.weather.series import WeatherSeries
from heapwright.weather.units import to_si
from heapwright.weather_sources import kept_reply
from heapwright.weather_sources.kept_reply import KeptReply
from heapwright.wording import worded

if TYPE_CHECKING:
    import httpx

FloatArray = NDArray[np.float64]

_UNTOUCHED = "Your entries are not touched."


@dataclass(frozen=True, slots=True)
class OnlineSettings:
    """How a forecast service is asked; the defaults are in online.toml, switched off.

    Attributes
    ----------
    enabled : bool
        Nothing is sent anywhere while this is False.
    endpoint, credit : str
        Address of the service; who is thanked for it.
    timeout_s : float
        How long to wait [s].
    past_days, forecast_days : int
        Days asked for before and after today.
    fresh_for_h, oldest_use_h : float
        A kept reply younger than the first is used without asking; older than the second never [h].
    retry_after_h : float
        After a failure nothing is asked for so long, so that no page waits for it again [h].

    """

    enabled: bool
    endpoint: str
    credit: str
    timeout_s: float
    past_days: int
    forecast_days: int
    fresh_for_h: float
    oldest_use_h: float
    retry_after_h: float


def default_settings() -> OnlineSettings:
    """Return the shipped settings: switched off."""
    table = read_toml("heapwright.weather_sources", "online.toml")
    return OnlineSettings(**{key: value for key, value in table.items() if key != "columns"})


def _columns() -> Mapping[str, Mapping[str, Any]]:
    table = read_toml("heapwright.weather_sources", "online.toml")["columns"]
    return dict(table)


def _garbage(why: str) -> WeatherProblem:
    return WeatherProblem(
        "The forecast service's reply could not be understood",
        why=why,
        instead="Try again later, or choose a climate",
        kept=_UNTOUCHED,
    )


def _numbers(hourly: Mapping[str, Any], name: str, count: int) -> FloatArray:
    column = hourly.get(name)
    if not isinstance(column, list) or len(column) != count:
        raise _garbage(worded('It has no whole column "{name}"', name=name))
    try:
        return np.array([np.nan if value is None else float(value) for value in column])
    except (TypeError, ValueError) as problem:
        raise _garbage(worded('A value of "{name}" is not a number', name=name)) from problem


def _reply_times(hourly: Mapping[str, Any]) -> NDArray[np.datetime64]:
    times = hourly.get("time")
    if not isinstance(times, list) or not times:
        raise _garbage("It has no times")
    try:
        return np.array([str(time) for time in times], dtype="datetime64[s]")
    except ValueError as problem:
        raise _garbage(worded('"{times}" is not a time', times=times[0])) from problem


def hours_of_reply(reply: Mapping[str, Any], *, source: str, place: Place) -> RawHours:
    """Return the hours in a reply, asked for in UTC and SI; gaps stay gaps for `checks`.

    Rain and sun at a time stand for the hour before it and are moved to that hour's beginning; the
    first hour then has none of either and the last nothing else, so both are left out.

    Parameters
    ----------
    reply : mapping
        The service's JSON.
    source : str
        Words for the person.
    place : Place
        The garden.

    Raises
    ------
    WeatherProblem
        If the reply has another form.

    """
    hourly = reply.get("hourly")
    if not isinstance(hourly, Mapping):
        raise _garbage("It has no hourly values")
    times = _reply_times(hourly)
    values = {}
    for quantity, column in _columns().items():
        found = to_si(quantity, column["unit"], _numbers(hourly, column["name"], times.size))
        values[quantity] = found[1:] if column["hour_before"] else found[:-1]
    known = np.isfinite(values["temperature_c"])
    if not known.any():
        raise _garbage("It has no temperatures")
    last = int(np.flatnonzero(known)[-1]) + 1
    return RawHours(
        begins=times[:-1][:last],
        values={quantity: column[:last] for quantity, column in values.items()},
        source=source,
        place=place,
    )


class OnlineForecast:
    """A forecast service as a source of weather.

    Parameters
    ----------
    place : Place
        The garden. Only its latitude and longitude are sent, to two decimals (about 1 km).
    settings : OnlineSettings
        Must be enabled explicitly.
    folder : Path
        Where the last good reply is kept.
    now : callable
        Gives the time, UTC; an argument, so that tests need no clock.
    transport : httpx.BaseTransport, optional
        Stands in for the network in tests.

    """

    def __init__(
        self,
        place: Place,
        settings: OnlineSettings,
        folder: Path,
        now: Callable[[], datetime],
        transport: httpx.BaseTransport | None = None,
    ) -> None:
        self._place = place
        self._settings = settings
        self._folder = folder
        self._now = now
        self._transport = transport

    def series(self, start: datetime, end: datetime) -> WeatherSeries:
        """Return the forecast's hours from `start` to `end`.

        Raises
        ------
        WeatherProblem
            If switched off, out of reach with nothing kept, or not reaching that far.

        """
        return self.whole().between(start, end)

    def whole(self) -> WeatherSeries:
        """Return all hours of the forecast: asked for anew, or kept, its age said."""
        self._require_enabled()
        kept = kept_reply.load(self._folder, self._question())
        now = self._now()
        if kept is not None and kept.age_h(now) < self._settings.fresh_for_h:
            return self._series_of(kept)
        try:
            self._require_no_fresh_failure(now)
            fresh = KeptReply(self._fetch(now), now, self._question())
            found = self._series_of(fresh)
        except WeatherProblem as problem:
            return self._fall_back(kept, now, problem)
        return self._keep(fresh, found)

    def _require_enabled(self) -> None:
        if not self._settings.enabled:
            raise WeatherProblem(
                "The online forecast is switched off",
                why="Nothing is sent from this machine until you say so",
                instead="Switch it on in the settings, or choose a climate",
                kept=_UNTOUCHED,
            )

    def _require_no_fresh_failure(self, now: datetime) -> None:
        passed_h = kept_reply.hours_since_failure(self._folder, self._question(), now)
        if passed_h < self._settings.retry_after_h:
            raise self._out_of_reach(
                worded(
                    "It failed {passed_h:.0f} minutes ago, too lately to ask",
                    passed_h=passed_h * 60,
                )
            )

    def _keep(self, fresh: KeptReply, found: WeatherSeries) -> WeatherSeries:
        """Keep a reply; a full disk does not take the forecast away, it is only said."""
        try:
            kept_reply.save(self._folder, fresh)
        except WeatherProblem as problem:
            return replace(found, notes=(f"{problem.what}.", *found.notes))
        return found

    def _fall_back(
        self, kept: KeptReply | None, now: datetime, problem: WeatherProblem
    ) -> WeatherSeries:
        if kept is None or kept.age_h(now) > self._settings.oldest_use_h:
            raise problem
        found = self._series_of(kept)
        said = worded(
            "{what}; the last one, {age_h:.0f} hours old, is used.",
            what=problem.what,
            age_h=kept.age_h(now),
        )
        return replace(found, notes=(said, *found.notes))

    def _series_of(self, kept: KeptReply) -> WeatherSeries:
        source = worded(
            "{credit}, fetched {came:%Y-%m-%d %H:%M} UTC",
            credit=self._settings.credit,
            came=kept.came,
        )
        return series_from_hours(hours_of_reply(kept.reply, source=source, place=self._place))

    def _parameters(self) -> dict[str, str | int | float]:
        return {
            "latitude": round(self._place.latitude_deg, 2),
            "longitude": round(self._place.longitude_deg, 2),
            "hourly": ",".join(column["name"] for column in _columns().values()),
            "wind_speed_unit": "ms",
            "timezone": "GMT",
            "past_days": self._settings.past_days,
            "forecast_days": self._settings.forecast_days,
        }

    def _question(self) -> str:
        asked = self._parameters()
        return f"{self._settings.endpoint} {asked['latitude']} {asked['longitude']}"

    def _fetch(self, now: datetime) -> dict[str, Any]:
        """Ask the service; a failure is remembered for a while."""
        try:
            return self._json_of(self._answer())
        except WeatherProblem:
            kept_reply.note_failure(self._folder, self._question(), now)
            raise

    def _answer(self) -> httpx.Response:
        import httpx  # slow to import, and only needed when a person has switched this on

        try:
            with httpx.Client(
                transport=self._transport, timeout=self._settings.timeout_s
            ) as client:
                return client.get(self._settings.endpoint, params=self._parameters())
        except httpx.TimeoutException as problem:
            raise self._out_of_reach(
                worded(
                    "It did not answer within {timeout_s:g} seconds",
                    timeout_s=self._settings.timeout_s,
                )
            ) from problem
        except (httpx.HTTPError, httpx.InvalidURL) as problem:
            raise self._out_of_reach("It could not be reached") from problem

    def _out_of_reach(self, why: str) -> WeatherProblem:
        return WeatherProblem(
            "The forecast could not be fetched",
            why=why,
            instead="Check the network, try again later, or choose a climate",
            kept=_UNTOUCHED,
        )

    def _json_of(self, answer: httpx.Response) -> dict[str, Any]:
        try:
            reply = answer.json()
        except ValueError:
            reply = None
        if answer.status_code != 200:
            reason = reply.get("reason") if isinstance(reply, dict) else None
            told = worded(' and says "{reason}"', reason=str(reason)[:200]) if reason else ""
            raise self._out_of_reach(
                worded(
                    "The service answers {status_code}{told}",
                    status_code=answer.status_code,
                    told=told,
                )
            )
        if not isinstance(reply, dict):
            raise _garbage("It is not JSON")
        return reply
