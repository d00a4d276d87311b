"""The online forecast: off unless switched on, and every way a network can fail told plainly.

The reply (replies/forecast.json) is written by hand in the documented form; nothing here touches a
network.
"""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from heapwright.errors import WeatherProblem
from heapwright.weather.raw import Place
from heapwright.weather_sources import OnlineForecast, WeatherSource, default_settings
from heapwright.weather_sources.kept_reply import FILE_NAME

GARDEN = Place("an invented garden", 32.2217, -110.9712)
NOW = datetime(2027, 6, 1, 6, tzinfo=UTC)
REPLY = json.loads((Path(__file__).parent / "replies" / "forecast.json").read_text("utf-8"))
Handler = Callable[[httpx.Request], httpx.Response]


def good(request: httpx.Request) -> httpx.Response:
    return httpx.Response(200, json=REPLY)


def hourly(**changes: Any) -> Handler:
    """Return a service whose reply has some hourly columns changed."""
    reply = {**REPLY, "hourly": {**REPLY["hourly"], **changes}}
    return lambda request: httpx.Response(200, json=reply)


def forecast(
    folder: Path, handler: Handler, *, now: datetime = NOW, enabled: bool = True, **more: Any
) -> OnlineForecast:
    settings = replace(default_settings(), enabled=enabled, **more)
    return OnlineForecast(GARDEN, settings, folder, lambda: now, httpx.MockTransport(handler))


def fails_with(error: type[httpx.HTTPError]) -> Handler:
    def handler(request: httpx.Request) -> httpx.Response:
        raise error("no")

    return handler


def must_not_be_asked(request: httpx.Request) -> httpx.Response:
    raise AssertionError("the network was touched")


def test_it_is_switched_off_as_shipped(tmp_path: Path) -> None:
    assert default_settings().enabled is False
    source: WeatherSource = forecast(tmp_path, must_not_be_asked, enabled=False)
    with pytest.raises(WeatherProblem, match="switched off") as caught:
        source.series(NOW, NOW + timedelta(hours=3))
    assert "entries are not touched" in caught.value.kept


def test_a_reply_becomes_hours_in_utc(tmp_path: Path) -> None:
    whole = forecast(tmp_path, good).whole()
    assert whole.start == datetime(2027, 6, 1, tzinfo=UTC)
    assert whole.hours == 71
    assert whole.temperature_c[5] == REPLY["hourly"]["temperature_2m"][5]
    assert whole.relative_humidity[5] == REPLY["hourly"]["relative_humidity_2m"][5] / 100
    assert "CC BY 4.0" in whole.source


def test_rain_and_sun_of_the_hour_before_begin_an_hour_earlier(tmp_path: Path) -> None:
    """The service sums rain over the hour before its stamp; ours begins there."""
    whole = forecast(tmp_path, good).whole()
    assert REPLY["hourly"]["precipitation"][30] == 1.2
    assert whole.rain_mm[29] == 1.2
    assert whole.rain_mm.sum() == 1.2
    assert whole.sun_w_m2[13] == REPLY["hourly"]["shortwave_radiation"][14]


def test_it_sends_the_place_coarsely_and_nothing_else(tmp_path: Path) -> None:
    asked: list[httpx.Request] = []

    def handler(request: httpx.Request) -> httpx.Response:
        asked.append(request)
        return good(request)

    forecast(tmp_path, handler, endpoint="https://weather.example/v1/forecast").whole()
    query = dict(asked[0].url.params)
    assert asked[0].url.host == "weather.example"
    assert query.pop("latitude") == "32.22"
    assert query.pop("longitude") == "-110.97"
    assert set(query) == {"hourly", "wind_speed_unit", "timezone", "past_days", "forecast_days"}
    assert query["wind_speed_unit"] == "ms"
    assert query["timezone"] == "GMT"


def test_a_young_reply_is_used_again_without_asking(tmp_path: Path) -> None:
    forecast(tmp_path, good).whole()
    later = forecast(tmp_path, must_not_be_asked, now=NOW + timedelta(minutes=50)).whole()
    assert later.hours == 71


@pytest.mark.parametrize(
    "handler, words",
    [
        (fails_with(httpx.ReadTimeout), "did not answer within 10 seconds"),
        (fails_with(httpx.ConnectTimeout), "did not answer within 10 seconds"),
        (fails_with(httpx.ConnectError), "could not be reached"),
        (lambda request: httpx.Response(500, text="oops"), "answers 500"),
        (
            lambda request: httpx.Response(400, json={"error": True, "reason": "too far north"}),
            'answers 400 and says "too far north"',
        ),
        (lambda request: httpx.Response(200, text="<html>sign in</html>"), "not JSON"),
        (lambda request: httpx.Response(200, json=[1, 2]), "not JSON"),
        (lambda request: httpx.Response(200, json={}), "no hourly values"),
        (hourly(time=[]), "no times"),
        (hourly(time=["noon"] * 72), '"noon" is not a time'),
        (hourly(temperature_2m=[20.0] * 5), 'no whole column "temperature_2m"'),
        (hourly(temperature_2m=["warm"] * 72), "not a number"),
        (hourly(temperature_2m=[None] * 72), "no temperatures"),
        (hourly(temperature_2m=[300.0] * 72), "wrong unit"),
    ],
)
def test_every_failure_is_a_sentence(tmp_path: Path, handler: Handler, words: str) -> None:
    with pytest.raises(WeatherProblem) as caught:
        forecast(tmp_path, handler).whole()
    assert words in caught.value.sentence()
    assert not (tmp_path / FILE_NAME).exists()


@pytest.mark.parametrize(
    "handler",
    [
        fails_with(httpx.ReadTimeout),
        lambda request: httpx.Response(503),
        lambda request: httpx.Response(200, json={}),
    ],
)
def test_the_kept_reply_stands_in_and_its_age_is_said(tmp_path: Path, handler: Handler) -> None:
    forecast(tmp_path, good).whole()
    later = forecast(tmp_path, handler, now=NOW + timedelta(hours=7)).whole()
    assert later.hours == 71
    assert "the last one, 7 hours old, is used" in later.notes[0]


def test_a_kept_reply_that_is_too_old_is_not_used(tmp_path: Path) -> None:
    forecast(tmp_path, good).whole()
    with pytest.raises(WeatherProblem, match="could not be fetched"):
        forecast(tmp_path, fails_with(httpx.ReadTimeout), now=NOW + timedelta(hours=100)).whole()


@pytest.mark.parametrize("damage", ["", "{", '{"came": "noon"}', "[]", '{"reply": 1}'])
def test_a_damaged_kept_reply_counts_as_none(tmp_path: Path, damage: str) -> None:
    (tmp_path / FILE_NAME).write_text(damage)
    assert forecast(tmp_path, good).whole().hours == 71


def test_after_a_failure_no_page_waits_again_for_a_while(tmp_path: Path) -> None:
    with pytest.raises(WeatherProblem, match="did not answer"):
        forecast(tmp_path, fails_with(httpx.ReadTimeout)).whole()
    with pytest.raises(WeatherProblem, match="failed 5 minutes ago"):
        forecast(tmp_path, must_not_be_asked, now=NOW + timedelta(minutes=5)).whole()
    assert forecast(tmp_path, good, now=NOW + timedelta(minutes=20)).whole().hours == 71


def test_a_clock_set_back_does_not_silence_the_service(tmp_path: Path) -> None:
    with pytest.raises(WeatherProblem):
        forecast(tmp_path, fails_with(httpx.ReadTimeout)).whole()
    assert forecast(tmp_path, good, now=NOW - timedelta(days=2)).whole().hours == 71


def test_another_place_does_not_get_the_old_sky(tmp_path: Path) -> None:
    forecast(tmp_path, good).whole()
    moved = OnlineForecast(
        Place("elsewhere", 40.0, -74.0),
        replace(default_settings(), enabled=True),
        tmp_path,
        lambda: NOW + timedelta(minutes=5),
        httpx.MockTransport(fails_with(httpx.ConnectError)),
    )
    with pytest.raises(WeatherProblem, match="could not be fetched"):
        moved.whole()


def test_a_missing_hour_is_bridged_and_said(tmp_path: Path) -> None:
    temperatures = list(REPLY["hourly"]["temperature_2m"])
    temperatures[10] = None
    whole = forecast(tmp_path, hourly(temperature_2m=temperatures)).whole()
    assert whole.temperature_c[10] == pytest.approx((temperatures[9] + temperatures[11]) / 2)
    assert any(
        "1 missing hours bridged" in note or "1 missing hour" in note for note in whole.notes
    )


def test_asking_beyond_the_forecast_says_how_far_it_reaches(tmp_path: Path) -> None:
    with pytest.raises(WeatherProblem, match="covers 2027-06-01 to 2027-06-03"):
        forecast(tmp_path, good).series(NOW, NOW + timedelta(days=30))


def test_a_forecast_that_cannot_be_kept_is_used_and_that_is_said(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file stands where the folder should be")
    whole = forecast(tmp_path / "taken", good).whole()
    assert whole.hours == 71
    assert any("could not be kept" in note for note in whole.notes)
