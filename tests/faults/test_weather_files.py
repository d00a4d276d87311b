"""Weather files as people have them: each is read, or refused with what would be right."""

import gzip
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from heapwright.errors import HeapwrightError, NotFound, UnreadableFile, WeatherProblem
from heapwright.weather.columns import ColumnPlan
from heapwright.weather.raw import Place
from heapwright.weather.text import text_of
from heapwright.weather_sources import FileHints, file_source

MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
TUCSON = FileHints(place=Place("Tucson", 32.2, -110.9))


def table(separator: str = ",", decimal: str = ".", days: int = 3) -> str:
    """Return an hourly table of some days with a stated unit in every heading."""
    names = ["time_utc", "Temperature (°C)", "humidity_pct", "wind_kmh", "rain_in"]
    lines = [separator.join(names)]
    for hour in range(24 * days):
        stamp = f"2027-07-{1 + hour // 24:02d}T{hour % 24:02d}:00Z"
        numbers = [20.5 + hour % 24 / 4, 45.0, 10.8, 0.1 if hour == 30 else 0.0]
        cells = [f"{number}".replace(".", decimal) for number in numbers]
        lines.append(separator.join([stamp, *cells]))
    return "\n".join(lines) + "\n"


def written(tmp_path: Path, data: bytes | str, name: str = "garden.csv") -> Path:
    path = tmp_path / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


def assert_is_the_table(path: Path) -> None:
    whole = file_source(path, TUCSON).whole
    assert whole.hours == 72
    assert whole.temperature_c[0] == 20.5
    assert whole.relative_humidity[0] == 0.45
    assert whole.wind_m_s[0] == pytest.approx(3.0)
    assert whole.rain_mm.sum() == pytest.approx(2.54)


def assert_four_parts(problem: HeapwrightError) -> None:
    assert problem.what
    assert problem.instead or problem.why
    assert "nothing was" in problem.kept.casefold()
    assert "Traceback" not in problem.sentence()


@pytest.mark.parametrize(
    "data",
    [
        table().encode("utf-8"),
        table().encode("utf-8-sig"),
        table().encode("utf-16"),
        table().encode("utf-16-be").join([b"\xfe\xff", b""]),
        table().encode("latin-1"),
        table(";", ",").encode("utf-8"),
        table("\t").encode("utf-8"),
        table().replace("\n", "\r\n").encode("utf-8"),
        ("# a remark of the station\n\n" + table()).encode("utf-8"),
    ],
    ids=["utf-8", "mark", "utf-16", "utf-16-be", "latin-1", "semicolon", "tab", "crlf", "remark"],
)
def test_the_same_table_in_any_dress_is_read_alike(tmp_path: Path, data: bytes) -> None:
    assert_is_the_table(written(tmp_path, data))


def test_letters_read_as_latin_1_are_said(tmp_path: Path) -> None:
    whole = file_source(written(tmp_path, table().encode("latin-1")), TUCSON).whole
    assert any("Latin-1" in note for note in whole.notes)


@pytest.mark.parametrize(
    "data, word",
    [
        (b"\x89PNG\r\n\x1a\n....", "picture"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"PK\x03\x04....", "ZIP"),
        (gzip.compress(table().encode()), "gzip"),
        (b"", "empty"),
        (b"  \n ", "empty"),
        (b"time\x00temp", "not text"),
        (b"\xff\xfea", "damaged"),
    ],
)
def test_what_is_no_text_is_named(tmp_path: Path, data: bytes, word: str) -> None:
    with pytest.raises(UnreadableFile, match=word) as caught:
        file_source(written(tmp_path, data))
    assert_four_parts(caught.value)


def test_a_file_that_is_not_there_is_named_without_its_folder(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match=r'"nothing\.csv"') as caught:
        file_source(tmp_path / "nothing.csv")
    assert str(tmp_path) not in caught.value.sentence()


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="folder"):
        file_source(tmp_path)


@pytest.mark.parametrize(
    "text, words",
    [
        ("name,colour\napple,red\n", "does not look like weather"),
        ("date,apples\n2027-01-01,3\n", "no column is known"),
        ("just a line", "no table"),
        (table().replace("2027-07-02T05:00Z", "yesterday"), 'Row 30: "yesterday"'),
        (table().replace("2027-07-02T05:00Z", "2027-02-30T05:00Z"), "2027-02-30"),
        (table().replace("2027-07-02T05:00Z", "2027-07-02T25:00Z"), "25:00"),
        (table().replace("20.5,45.0", "hot,45.0", 1), '"hot" is not a number'),
        (table().replace("20.5,45.0", "=1+1,45.0", 1), '"=1[+]1" is not a number'),
        (table() + '2027-07-04T00:00Z,"' + "9" * 200_000, "taken apart into cells"),
        (table().replace("wind_kmh", "wind"), 'heading "wind" states no unit'),
        (table().replace("time_utc", "time").replace("Z,", ","), "time zone"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises((UnreadableFile, WeatherProblem), match=words) as caught:
        file_source(written(tmp_path, text), TUCSON)
    assert_four_parts(caught.value)


def test_numbers_as_people_write_them_are_read(tmp_path: Path) -> None:
    """A true minus sign, a trace of rain, M for missing, a unit inside the heading's word."""
    text = (
        "station,valid(UTC),tmpf,relh,sknt,p01i\n"
        "TUS,2027-01-01 00:53,\N{MINUS SIGN}4.0,30.2,M,T\n"
        'TUS,2027-01-01 01:53,14.0,30.2,"10.0",0.10\n'
        "TUS,2027-01-01 02:53,14.0,30.2,10.0,0.00\n"
    )
    whole = file_source(written(tmp_path, text), TUCSON).whole
    np.testing.assert_allclose(whole.temperature_c, [-20.0, -10.0, -10.0], atol=1e-9)
    np.testing.assert_allclose(whole.rain_mm, [0.0, 2.54, 0.0])
    np.testing.assert_allclose(whole.wind_m_s, 10 * 1852 / 3600)


def test_a_thousands_comma_is_read_as_one(tmp_path: Path) -> None:
    """The false wind of Newark as a spreadsheet would write it: refused, and named as written."""
    text = table().replace("10.8", '"1,048.36"', 1).replace("wind_kmh", "wind_mph")
    whole = file_source(written(tmp_path, text), TUCSON).whole
    assert any("1,048.36 mph" in note for note in whole.notes)


def test_an_unknown_zone_is_told(tmp_path: Path) -> None:
    text = table().replace("time_utc", "time").replace("Z,", ",")
    with pytest.raises(WeatherProblem, match='"Mars/Olympus" is not a time zone'):
        file_source(written(tmp_path, text), FileHints(zone="Mars/Olympus"))


def test_a_unit_stated_by_the_person_is_used(tmp_path: Path) -> None:
    text = table().replace("wind_kmh", "wind")
    hints = FileHints(place=TUCSON.place, units={"wind": "mph"})
    whole = file_source(written(tmp_path, text), hints).whole
    assert whole.wind_m_s[0] == pytest.approx(10.8 * 0.44704)


def test_an_unknown_unit_is_told_with_the_known_ones(tmp_path: Path) -> None:
    text = table().replace("wind_kmh", "wind")
    with pytest.raises(WeatherProblem, match=r'"furlong" is not a unit.*mph'):
        file_source(written(tmp_path, text), FileHints(units={"wind": "furlong"}))


def test_without_sun_the_place_must_be_known(tmp_path: Path) -> None:
    with pytest.raises(WeatherProblem, match="latitude") as caught:
        file_source(written(tmp_path, table()))
    assert_four_parts(caught.value)


def test_a_year_that_was_gives_only_its_own_hours(tmp_path: Path) -> None:
    source = file_source(written(tmp_path, table()), TUCSON)
    assert not source.usual
    start = source.whole.start
    assert source.series(start, source.whole.end).hours == 72
    with pytest.raises(WeatherProblem, match="covers"):
        source.series(start.replace(year=2028), source.whole.end.replace(year=2028))


def test_hourly_normals_without_a_year_lack_their_first_hour_and_are_a_usual_year(
    tmp_path: Path,
) -> None:
    """The form of the Seattle normals: MM-DDTHH:MM, first hour of the year absent."""
    stamps = np.arange("2027-01-01T01", "2028-01-01T00", dtype="datetime64[h]")
    lines = ["month_day_hour,temperature_c,wind"]
    lines += [f"{str(stamp)[5:]}:00,{index % 7},3.8" for index, stamp in enumerate(stamps)]
    hints = FileHints(place=TUCSON.place, zone="UTC-08:00", units={"wind": "m/s"})
    source = file_source(written(tmp_path, "\n".join(lines)), hints)
    assert source.usual
    assert source.whole.hours == 8759
    begin = source.whole.start.replace(year=2030, hour=8)
    laid = source.series(begin, begin.replace(hour=12))
    assert laid.temperature_c[1] == 0.0
    assert any("taken from the day before" in note for note in laid.notes)


def test_a_cut_of_a_typical_year_is_known_by_its_years(tmp_path: Path) -> None:
    """The form of the Greensboro cut: months of several years, hour ending, 24:00."""
    lines = ["date_mdy,hour_ending_lst,dry_bulb_c,ghi_w_m2"]
    for stamp in np.arange("2027-01-01", "2028-01-01", dtype="datetime64[D]"):
        _, month, day = str(stamp).split("-")
        date = f"{month}/{day}/{1980 + int(month) * 7 % 12}"
        lines += [f"{date},{hour:02d}:00,{hour},0" for hour in range(1, 25)]
    source = file_source(written(tmp_path, "\n".join(lines)), FileHints(zone="UTC-05:00"))
    assert source.usual
    assert source.whole.hours == 8760
    assert source.whole.start == datetime(2001, 1, 1, 5, tzinfo=UTC)
    np.testing.assert_array_equal(source.whole.temperature_c[:24], np.arange(1, 25))


def test_a_record_over_new_year_is_no_typical_year(tmp_path: Path) -> None:
    text = table().replace("2027-07-01", "2026-12-31").replace("2027-07-02", "2027-01-01")
    source = file_source(written(tmp_path, text.replace("2027-07-03", "2027-01-02")), TUCSON)
    assert not source.usual
    assert source.whole.hours == 72


def test_monthly_figures_become_a_usual_year(tmp_path: Path) -> None:
    lines = ["month,low_f,high_f,rain_in,rain_days"]
    lines += [f"{name},{40 + index},{70 + index},1.5,3" for index, name in enumerate(MONTHS)]
    source = file_source(written(tmp_path, "\n".join(lines)), TUCSON)
    assert source.usual
    assert source.whole.hours == 8760
    assert source.whole.rain_mm.sum() == pytest.approx(12 * 1.5 * 25.4)
    rainy = source.whole.rain_mm.reshape(365, 24).sum(axis=1) > 0
    assert rainy.sum() == 36


@pytest.mark.parametrize("change", [("Mar,", "Feb,"), ("Mar,", "Smarch,")])
def test_monthly_figures_with_a_month_amiss_are_refused(
    tmp_path: Path, change: tuple[str, str]
) -> None:
    text = "\n".join(["month,low_c,high_c", *(f"{name},1,9" for name in MONTHS)])
    with pytest.raises(WeatherProblem, match="Each of the twelve months"):
        file_source(written(tmp_path, text.replace(*change)), TUCSON)


@pytest.mark.parametrize(
    "text",
    [
        "LOCATION,Somewhere\n1,2,3\n",
        "LOCATION,A,B,C,TMY3,1,x,2,3,4\nDATA PERIODS,1,1\n",
        "LOCATION,A,B,C,TMY3,1,32,-110,-7,800\nDATA PERIODS,1,4,Data\n1\n",
        "LOCATION,A,B,C,TMY3,1,32,-110,-7,800\nDATA PERIODS,1,1,Data\n2003,1,1,1,0\n",
    ],
    ids=["no data", "no latitude", "quarter hours", "cut short"],
)
def test_a_damaged_epw_file_is_told(tmp_path: Path, text: str) -> None:
    with pytest.raises(UnreadableFile, match="EPW") as caught:
        file_source(written(tmp_path, text, "place.epw"))
    assert_four_parts(caught.value)


@pytest.fixture
def small_epw() -> str:
    """Return two days of an invented EPW file."""
    lines = ["LOCATION,Town,AZ,USA,Custom,1,32.2,-110.9,-7.0,800", "DATA PERIODS,1,1,Data,Sunday"]
    for hour in range(48):
        fields = ["2027", "7", str(1 + hour // 24), str(hour % 24 + 1), "0", "?"]
        fields += [str(20 + hour % 24), "5", "30", "92000", "0", "0", "300", "100"]
        fields += ["0"] * 7 + ["2.5"] + ["0"] * 11 + ["1.5", "1"]
        lines.append(",".join(fields))
    return "\n".join(lines)


def test_an_epw_of_a_real_year_keeps_its_year(tmp_path: Path, small_epw: str) -> None:
    source = file_source(written(tmp_path, small_epw, "a.epw"))
    assert not source.usual
    assert source.whole.start == datetime(2027, 7, 1, 7, tzinfo=UTC)
    assert source.whole.source == "Town, AZ, USA, 2027 (Custom)"
    assert source.whole.rain_mm.sum() == pytest.approx(48 * 1.5)


def test_what_the_person_says_goes_before_what_the_file_says(
    tmp_path: Path, small_epw: str
) -> None:
    hints = FileHints(title="My hill", typical=True)
    source = file_source(written(tmp_path, small_epw, "a.epw"), hints)
    assert source.usual
    assert source.whole.source == "My hill"
    assert source.whole.start.year == 2001


@pytest.mark.parametrize(
    "old, new, words",
    [
        ("2027,7,2,3,0", "2027,7,2,x,0", "Hour 27 has no date and hour"),
        ("2027,7,2,3,0,?,22", "2027,7,2,3,0,?,warm", '"warm" is not a number'),
        ("DATA PERIODS,1,1", "DATA,1,1", "no DATA PERIODS line"),
        ("-7.0,800", "-77.0,800", "time zone is -77 hours"),
    ],
)
def test_an_epw_with_one_wrong_cell_is_told(
    tmp_path: Path, small_epw: str, old: str, new: str, words: str
) -> None:
    assert old in small_epw
    with pytest.raises((UnreadableFile, WeatherProblem)) as caught:
        file_source(written(tmp_path, small_epw.replace(old, new), "a.epw"))
    assert words in caught.value.sentence()


TMY3_NAMES = [
    "Date (MM/DD/YYYY)", "Time (HH:MM)", "Dry-bulb (C)", "Dew-point (C)", "RHum (%)",
    "GHI (W/m^2)", "Wspd (m/s)", "Lprecip depth (mm)", "Lprecip quantity (hr)",
]  # fmt: skip


@pytest.mark.parametrize(
    "first, names, row, words",
    [
        ('1,"X",NC,zero,36,-80,9', TMY3_NAMES, "01/01/1988,01:00,1,1,50,0,1,0,1", "first line"),
        ('1,"X",NC,-95,36,-80,9', TMY3_NAMES, "01/01/1988,01:00,1,1,50,0,1,0,1", "time zone"),
        ('1,"X",NC,-5,36,-80,9', TMY3_NAMES[:-1], "01/01/1988,01:00,1,1,50,0,1,0", "no column"),
        ('1,"X",NC,-5,36,-80,9', TMY3_NAMES, "", "cut short"),
        ('1,"X",NC,-5,36,-80,9', TMY3_NAMES, "01/01/1988,01:00,warm,1,50,0,1,0,1", '"warm"'),
    ],
)
def test_a_damaged_tmy3_file_is_told(
    tmp_path: Path, first: str, names: list[str], row: str, words: str
) -> None:
    text = f"{first}\n{','.join(names)}\n{row}\n"
    with pytest.raises((UnreadableFile, WeatherProblem)) as caught:
        file_source(written(tmp_path, text))
    assert words in caught.value.sentence()


def test_daily_sun_in_energy_is_its_mean_power(tmp_path: Path) -> None:
    """11.574 W/m2 kept up for a day are a megajoule a square metre."""
    text = "date,tmin_c,tmax_c,solar_mj/m2\n2027-07-01,20,38,30\n2027-07-02,20,38,15\n"
    sun = file_source(written(tmp_path, text), TUCSON).whole.sun_w_m2.reshape(2, 24)
    np.testing.assert_allclose(sun.mean(axis=1), [30e6 / 86400, 15e6 / 86400])
    with pytest.raises(WeatherProblem, match="Where the weather was seen"):
        file_source(written(tmp_path, text))


def test_a_file_too_large_for_one_garden_is_not_opened(tmp_path: Path) -> None:
    path = tmp_path / "huge.csv"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    with pytest.raises(UnreadableFile, match="200 MB"):
        file_source(path)


def test_a_plan_given_by_the_person_is_followed(tmp_path: Path) -> None:
    plan = ColumnPlan(time=("when",), quantities={"temperature_c": ("outside", "f")}, zone="UTC")
    text = "when,outside\n2027-07-01 00:00,50\n2027-07-01 01:00,59\n"
    hints = FileHints(place=TUCSON.place, plan=plan)
    whole = file_source(written(tmp_path, text), hints).whole
    np.testing.assert_allclose(whole.temperature_c, [10.0, 15.0])
    with pytest.raises(WeatherProblem, match='no column "when"'):
        file_source(written(tmp_path, text.replace("when", "then")), hints)


def test_text_of_tells_utf_16() -> None:
    assert text_of("a,b".encode("utf-16"))[0] == "a,b"
