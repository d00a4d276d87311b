"""Our EPW and TMY3 readers against pvlib's, row for row."""

import csv
import gzip
import io
from importlib import resources
from pathlib import Path

import numpy as np
import pvlib
import pytest

from heapwright.weather import raw
from heapwright.weather.checks import series_from_hours
from heapwright.weather.raw import RawHours
from heapwright.weather.typical_year_files import is_epw, is_tmy3, read_epw, read_tmy3

PVLIB_DATA = Path(pvlib.__file__).parent / "data"
TMY3_FILES = ["723170TYA.CSV", "703165TY.csv"]
#: Our quantity, pvlib's column, and what pvlib's value is multiplied by.
TMY3_PAIRS = [
    (raw.TEMPERATURE, "temp_air", 1.0),
    (raw.DEW_POINT, "temp_dew", 1.0),
    (raw.HUMIDITY, "relative_humidity", 0.01),
    (raw.WIND, "wind_speed", 1.0),
    (raw.SUN, "ghi", 1.0),
]
HEADING = """LOCATION,Davis Monthan Afb,AZ,USA,TMY3,722745,32.17,-110.88,-7.0,809.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,Made by this test from the shipped Tucson year
COMMENTS 2,
DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31
"""


def epw_text() -> str:
    """Return the shipped Tucson year written back as an EPW file."""
    folder = resources.files("heapwright.weather_sources").joinpath("climate_data")
    packed = folder.joinpath("tucson-az-tmy3.csv.gz").read_bytes()
    out = io.StringIO()
    out.write(HEADING)
    for row in csv.DictReader(io.StringIO(gzip.decompress(packed).decode())):
        month, day, year = row["date_mdy"].split("/")
        fields = [year, str(int(month)), str(int(day)), str(int(row["hour_ending_lst"][:2])), "0"]
        fields += ["?", row["dry_bulb_c"], row["dew_point_c"], row["rel_humidity_pct"], "92000"]
        fields += ["0", "0", "300", row["ghi_w_m2"], "0", "0", "0", "0", "0", "0", "180"]
        fields += [row["wind_speed_m_s"], "1", "1", "77.7", "77777", "9", "999999999", "120"]
        fields += ["0.039", "0", "88", "0.2", row["rain_depth_mm"] or "999"]
        fields += [row["rain_period_h"] or "99"]
        out.write(",".join(fields) + "\n")
    return out.getvalue()


@pytest.fixture(scope="module")
def epw() -> str:
    return epw_text()


def tmy3_text(name: str) -> str:
    return (PVLIB_DATA / name).read_text(encoding="latin-1")


@pytest.mark.parametrize("name", TMY3_FILES)
@pytest.mark.parametrize("quantity, column, factor", TMY3_PAIRS)
def test_read_tmy3_matches_pvlib(name: str, quantity: str, column: str, factor: float) -> None:
    reading = read_tmy3(tmy3_text(name))
    table, _ = pvlib.iotools.read_tmy3(PVLIB_DATA / name, map_variables=True, coerce_year=2001)
    theirs = table[column].to_numpy(dtype=float)
    np.testing.assert_allclose(
        reading.values[quantity], np.where(theirs <= -9900, np.nan, theirs * factor), rtol=1e-12
    )


@pytest.mark.parametrize("name", TMY3_FILES)
def test_read_tmy3_time_matches_pvlib(name: str) -> None:
    """Pvlib stamps the hour's end with the station's offset; ours its beginning in UTC."""
    reading = read_tmy3(tmy3_text(name))
    table, meta = pvlib.iotools.read_tmy3(PVLIB_DATA / name, map_variables=True, coerce_year=2001)
    ends = table.index.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]")
    # Pvlib lays the year's last stamp, 24:00 on 31 December, on the first of January of that year.
    np.testing.assert_array_equal(reading.begins[:-1], ends[:-1] - np.timedelta64(1, "h"))
    assert reading.place is not None
    assert reading.place.latitude_deg == meta["latitude"]
    assert reading.place.longitude_deg == meta["longitude"]
    assert reading.place.height_m == meta["altitude"]
    assert reading.place.winter_offset_h == meta["TZ"]


def test_read_epw_matches_pvlib(epw: str) -> None:
    reading = read_epw(epw)
    table, meta = pvlib.iotools.read_epw(io.StringIO(epw), coerce_year=2001)
    for quantity, column, factor in [
        (raw.TEMPERATURE, "temp_air", 1.0),
        (raw.DEW_POINT, "temp_dew", 1.0),
        (raw.HUMIDITY, "relative_humidity", 0.01),
        (raw.WIND, "wind_speed", 1.0),
        (raw.SUN, "ghi", 1.0),
    ]:
        theirs = table[column].to_numpy(dtype=float) * factor
        np.testing.assert_allclose(reading.values[quantity], theirs, rtol=1e-12)
    # Pvlib stamps EPW hours by their beginning too.
    begins = table.index.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]")
    np.testing.assert_array_equal(reading.begins, begins)
    assert reading.place is not None
    assert (reading.place.latitude_deg, reading.place.longitude_deg) == (
        meta["latitude"],
        meta["longitude"],
    )


def test_an_epw_year_and_the_shipped_cut_of_it_are_one_series(epw: str) -> None:
    from heapwright.weather_sources import climate

    ours, shipped = series_from_hours(read_epw(epw)), climate("tucson")
    assert ours.start == shipped.start
    np.testing.assert_allclose(ours.temperature_c, shipped.temperature_c)
    np.testing.assert_allclose(ours.relative_humidity, shipped.relative_humidity)
    np.testing.assert_allclose(ours.rain_mm, shipped.rain_mm)
    np.testing.assert_allclose(ours.sun_w_m2, shipped.sun_w_m2)


@pytest.mark.parametrize("position, quantity", [(6, raw.TEMPERATURE), (8, raw.HUMIDITY),
                                                (13, raw.SUN), (21, raw.WIND)])  # fmt: skip
def test_missing_codes_of_epw_are_missing(epw: str, position: int, quantity: str) -> None:
    code = {6: "99.9", 8: "999", 13: "9999", 21: "999.0"}[position]
    lines = epw.splitlines()
    fields = lines[1000].split(",")
    fields[position] = code
    lines[1000] = ",".join(fields)
    reading: RawHours = read_epw("\n".join(lines))
    missing = np.flatnonzero(np.isnan(reading.values[quantity]))
    np.testing.assert_array_equal(missing, [1000 - 8])


def test_rain_of_the_greensboro_year_is_read_in_tenths_of_a_millimetre() -> None:
    """8,345 in the file, headed mm; hundredths of an inch make it 834.5 mm."""
    reading = read_tmy3(tmy3_text("723170TYA.CSV"))
    assert reading.values[raw.RAIN].sum() == pytest.approx(834.5)
    assert any("tenths of a millimetre" in note for note in reading.notes)


def test_each_form_is_known_by_its_heading(epw: str) -> None:
    assert is_epw(epw)
    assert not is_tmy3(epw)
    assert is_tmy3(tmy3_text("723170TYA.CSV"))
    assert not is_epw(tmy3_text("723170TYA.CSV"))
