"""Times in weather files: clock changes, hour ending, 24:00, winter time, day and month order."""

import numpy as np
import pytest

from heapwright.errors import WeatherProblem
from heapwright.weather.stamps import read_stamps


def utc(*texts: str) -> list[np.datetime64]:
    return [np.datetime64(text) for text in texts]


def test_the_doubled_hour_of_autumn_is_told_by_its_order() -> None:
    """New York, 3 November 2013: 01:00 comes twice, at 05:00 and at 06:00 UTC."""
    texts = ["2013-11-03 00:00", "2013-11-03 01:00", "2013-11-03 01:00", "2013-11-03 02:00"]
    np.testing.assert_array_equal(
        read_stamps(texts, zone="America/New_York"),
        utc("2013-11-03T04", "2013-11-03T05", "2013-11-03T06", "2013-11-03T07"),
    )


def test_the_hour_left_out_in_spring_is_refused_with_what_to_say() -> None:
    with pytest.raises(WeatherProblem, match=r"2013-03-10 02:00 does not exist.*UTC-05:00"):
        read_stamps(["2013-03-10 02:00"], zone="America/New_York")


def test_winter_time_all_year_has_that_hour() -> None:
    np.testing.assert_array_equal(
        read_stamps(["2013-03-10 02:00", "2013-07-01 02:00"], zone="UTC-05:00"),
        utc("2013-03-10T07", "2013-07-01T07"),
    )


def test_a_place_without_clock_changes() -> None:
    np.testing.assert_array_equal(
        read_stamps(["2013-03-10 02:00", "2013-07-01 02:00"], zone="America/Phoenix"),
        utc("2013-03-10T09", "2013-07-01T09"),
    )


def test_hour_ending_24_is_the_last_hour_of_its_day() -> None:
    np.testing.assert_array_equal(
        read_stamps(["12/31/1999 24:00", "01/01/2000 01:00"], zone="UTC", ending=True),
        utc("1999-12-31T23", "2000-01-01T00"),
    )


def test_hour_ending_across_the_spring_change_is_looked_up_by_its_beginning() -> None:
    """02:00 ends the hour begun at 01:00 winter time; 04:00 the next, of summer time."""
    np.testing.assert_array_equal(
        read_stamps(["2013-03-10 02:00", "2013-03-10 04:00"], zone="America/New_York", ending=True),
        utc("2013-03-10T06", "2013-03-10T07"),
    )


@pytest.mark.parametrize(
    "texts, first",
    [
        (["02/03/2027 00:00", "02/28/2027 00:00"], "2027-02-03"),
        (["02/03/2027 00:00", "28/03/2027 00:00"], "2027-03-02"),
        (["02.03.2027 00:00", "03.03.2027 00:00"], "2027-03-02"),
        (["2027/03/02 0:00"], "2027-03-02"),
        (["03/02/27 12:00 AM", "03/28/27 12:00 PM"], "2027-03-02"),
    ],
)
def test_day_and_month_are_told_apart(texts: list[str], first: str) -> None:
    assert read_stamps(texts, zone="UTC")[0] == np.datetime64(first)


def test_an_offset_in_the_stamp_goes_before_the_zone() -> None:
    np.testing.assert_array_equal(
        read_stamps(["2027-03-02T05:30:00+02:00", "2027-03-02T05:30Z"], zone="UTC-07:00"),
        utc("2027-03-02T03:30", "2027-03-02T05:30"),
    )


def test_years_of_a_typical_year_mean_nothing() -> None:
    np.testing.assert_array_equal(
        read_stamps(["01/31/1988 23:00", "02/01/1974 00:00"], zone="UTC", typical=True),
        utc("2001-01-31T23", "2001-02-01T00"),
    )


@pytest.mark.parametrize(
    "text", ["", "now", "2027", "9999-12-31", "2027-13-01", "2027-01-01 24:30", "1/2/3/4"]
)
def test_what_is_no_time_is_named_with_its_row(text: str) -> None:
    with pytest.raises(WeatherProblem, match="Row 2"):
        read_stamps(["2027-01-01 00:00", text], zone="UTC")


@pytest.mark.parametrize("zone", ["UTC+99:00", "UTC-24:00", "Nowhere/At_All", "", "../etc/passwd"])
def test_a_zone_that_is_none_is_told(zone: str) -> None:
    with pytest.raises(WeatherProblem, match="not a time zone"):
        read_stamps(["2027-01-01 00:00"], zone=zone)
