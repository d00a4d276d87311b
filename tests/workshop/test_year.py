"""How the year goes, in three invented gardens: on the page, by command, in a calendar, anew."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from icalendar import Calendar
from starlette.testclient import TestClient

from heapwright.errors import HeapwrightError
from heapwright.journal.entries import EntryKind
from heapwright.season.play_check import check
from heapwright.season.rotation_chances import wilson
from heapwright.season.rotation_plan import JobKind, Proof
from heapwright.season.rotation_types import Stage, StandingHeap, Yield
from heapwright.season.stage_types import NEVER_WEEKS, sure_ends
from heapwright.sentences import render
from heapwright.web.app import create_app
from heapwright.web.year_curves import curve_rows
from heapwright.web.year_picture import WHOLE_LITRE_M3, year_picture
from heapwright.workshop import setup, year_kept, year_words
from heapwright.workshop.beds import beds
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.year import year
from heapwright.workshop.year_answer import YearAnswer
from heapwright.workshop.year_calendar import calendar_file
from heapwright.workshop.year_chances import member_weeks, yield_at
from heapwright.workshop.year_changes import changes
from heapwright.workshop.year_kept import KeptJob
from heapwright.workshop.year_problem import free_days, gathered, year_inputs
from heapwright.workshop.year_week import planned_near
from heapwright.workshop.year_what_if import year_what_if
from heapwright.workshop.year_wishes import aways, be_there, go_away, loads_per_week
from tests.workshop.cli_terminal import Terminal
from tests.workshop.conftest import NOW, StillClock
from tests.workshop.gardens_of_a_year import GARDENS, opened

#: What a plan of three or four bins must be proved to, at the least.
LARGEST_GAP = 0.01
#: A heap as it was when somebody built it, without lots.
FILL = {"wet_mass_kg": 350.0, "moisture": 0.58, "volume_m3": 0.8, "ash_dry": 0.12}
FILL |= {"fast_share": 0.2, "medium_share": 0.4, "c_to_n": 28.0}


@pytest.fixture(scope="module")
def gardens(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Garden]]:
    """Return the three gardens, open; to be looked at only."""
    there = {name: opened(name, tmp_path_factory.mktemp("year")) for name in GARDENS}
    yield there
    for garden in there.values():
        garden.close()


@pytest.fixture(params=sorted(GARDENS))
def looked_at(request: pytest.FixtureRequest, gardens: dict[str, Garden]) -> Garden:
    return gardens[request.param]


@pytest.fixture
def own(tmp_path: Path, gardens: dict[str, Garden]) -> Iterator[Garden]:
    """Return the tiny yard to write in, with all that was worked out and kept beside it."""
    with copied(gardens["tiny yard"], tmp_path) as garden:
        yield garden


def copied(garden: Garden, folder: Path) -> Garden:
    year(garden)
    shutil.copytree(garden.path.parent, folder, dirs_exist_ok=True)
    return Garden.open(folder / garden.path.name, StillClock(NOW))


def test_a_plan_breaks_no_rule_and_is_proved_within_a_hundredth(looked_at: Garden) -> None:
    answer = year(looked_at)
    assert check(answer.plan, answer.problem) == []
    assert answer.plan.proof is not Proof.BY_RULE
    assert answer.plan.gap <= LARGEST_GAP


def test_every_job_lies_on_a_working_day_from_today_on(looked_at: Garden) -> None:
    answer = year(looked_at)
    free = {day for week in free_days(looked_at, answer.first_day) for day in week}
    assert answer.jobs
    assert all(job.day in free for job in answer.jobs)
    assert [job.day for job in answer.jobs] == sorted(job.day for job in answer.jobs)
    assert all(job.cautions for job in answer.jobs)


def test_a_build_says_how_much_of_what(looked_at: Garden) -> None:
    answer = year(looked_at)
    builds = [job for job in answer.jobs if job.kind is JobKind.BUILD]
    assert builds
    for job in builds:
        told = " ".join(render(one, looked_at.reader()) for one in job.amounts)
        assert "greens" in told and "browns" in told and "full by" in told


def test_beds_get_no_more_than_they_want_or_than_there_is(looked_at: Garden) -> None:
    answer = year(looked_at)
    curves = answer.curves
    assert answer.beds
    assert all(0.0 <= bed.served_m3 <= bed.wished_m3 + 1e-9 for bed in answer.beds)
    assert sum(bed.served_m3 for bed in answer.beds) <= curves.there_sure[-1] + 1e-9
    for sure, likely, high in zip(
        curves.there_sure, curves.there_likely, curves.there_high, strict=True
    ):
        assert sure <= likely <= high
    for bed in answer.beds:
        if bed.short_m3 <= WHOLE_LITRE_M3:
            assert bed.chance is not None and bed.chance_low is not None
            assert bed.chance_low <= bed.chance <= (bed.chance_high or 0.0)
            # Planned so that a stage is over in time in 8 of 10 years, each for itself.
            assert bed.chance >= 0.5


def test_the_picture_holds_every_stay_and_lies_on_its_paper(looked_at: Garden) -> None:
    answer = year(looked_at)
    picture = year_picture(answer)
    stays = [
        stay
        for batch in answer.plan.batches
        for stay in batch.stays
        if stay.end_week is None or stay.end_week > stay.start_week
    ]
    assert len(picture.pieces) == len(stays)
    for piece in picture.pieces:
        assert piece.x >= 0 and piece.x + piece.width <= picture.width
        assert piece.y >= 0 and piece.y + piece.height <= picture.height
    rows = curve_rows(answer, looked_at.reader())
    assert rows[0].week == 0 and len(rows) >= 2


def test_pages_answer_and_hold_the_answer(looked_at: Garden) -> None:
    client = TestClient(create_app(looked_at), base_url="http://127.0.0.1")
    page = client.get("/year")
    assert page.status_code == 200
    assert render(year(looked_at).headline, looked_at.reader()) in page.text
    for address in ("/year/sheet", "/year/wishes", "/year/calendar", "/year/jobs.ics"):
        assert client.get(address).status_code == 200
    told = client.get("/api/year").json()
    assert [job["id"] for job in told["jobs"]] == [job.id for job in year(looked_at).jobs]


def test_the_command_says_the_same(own: Garden, tmp_path: Path) -> None:
    terminal, path = Terminal(tmp_path), own.path
    said = terminal.tell("year", "--garden", str(path))
    assert "Jobs:" in said and "Begin heap 1" in said and "Herbs" in said
    told = terminal.json("year", "--garden", str(path))
    assert told["problem"]["bins"][0]["name"] == "Left"
    file = tmp_path / "jobs.ics"
    assert "written to" in terminal.tell("year", "calendar", str(file), "--garden", str(path))
    assert Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    terminal.tell("year", "away", "2027-07-01", "2027-07-20", "--garden", str(path))
    terminal.tell("year", "wishes", "--days", "sat sun", "--loads", "10", "--garden", str(path))
    assert "is not a day" in terminal.refused(
        "year", "away", "soon", "later", "--garden", str(path)
    )
    assert "No wish is said" in terminal.refused("year", "wishes", "--garden", str(path))
    terminal.tell("year", "back", "2027-07-01", "--garden", str(path))


# The calendar.


def events(garden: Garden, answer: YearAnswer) -> dict[str, tuple[date, int]]:
    found = Calendar.from_ical(calendar_file(garden, answer, garden.reader()))
    return {
        str(one["UID"]): (one["DTSTART"].dt, int(one["SEQUENCE"])) for one in found.walk("VEVENT")
    }


def test_a_calendar_file_is_what_rfc_5545_asks(looked_at: Garden) -> None:
    """RFC 5545: 3.1 lines end in CRLF and hold 75 octets; 3.8.4.7 UIDs are unique; 3.6.1."""
    answer = year(looked_at)
    made = calendar_file(looked_at, answer, looked_at.reader())
    lines = made.split(b"\r\n")
    assert b"\n" not in made.replace(b"\r\n", b"")
    assert all(len(line) <= 75 for line in lines)
    there = events(looked_at, answer)
    assert len(there) == len(answer.jobs) + len(answer.beds)
    assert made == calendar_file(looked_at, answer, looked_at.reader())
    for job in answer.jobs:
        assert any(uid.startswith(f"{job.id}@") for uid in there)


def test_a_job_that_moves_keeps_its_event_and_counts_its_revision(
    gardens: dict[str, Garden], tmp_path: Path
) -> None:
    own = copied(gardens["cold wet"], tmp_path)
    before = events(own, year(own))
    build = next(job for job in year(own).jobs if job.kind is JobKind.BUILD)
    go_away(own, build.day - timedelta(days=3), build.day + timedelta(days=10), origin="page")
    answer = year(own)
    after = events(own, answer)
    assert answer.changes
    moved = [uid for uid, (day, _) in after.items() if uid in before and before[uid][0] != day]
    assert moved
    assert all(after[uid][1] == before[uid][1] + 1 for uid in moved)
    still = [uid for uid in after if uid in before and after[uid][0] == before[uid][0]]
    assert all(after[uid][1] >= before[uid][1] for uid in still)
    assert len(set(before) & set(after)) >= len(before) - 2
    own.close()


def test_a_bed_that_is_wanted_on_another_day_counts_its_revision(own: Garden) -> None:
    before = events(own, year(own))
    body = {"key": "herbs", "name": "Herbs", "use": "top-up", "area_m2": 2.0, "due": "2027-04-08"}
    log(own, EntryKind.BED, body, origin="page")
    after = events(own, year(own))
    (uid,) = [one for one in after if one.startswith("bed-herbs-2027@")]
    assert after[uid] == (date(2027, 4, 8), before[uid][1] + 1)


def test_the_secret_address_opens_the_calendar_alone(own: Garden) -> None:
    client = TestClient(create_app(own), base_url="http://127.0.0.1")
    assert client.get("/calendar/guessed.ics").status_code == 404
    page = client.post("/year/calendar")
    token = page.text.split("/calendar/")[1].split(".ics")[0]
    assert page.headers["cache-control"] == "no-store"
    answer = client.get(f"/calendar/{token}.ics")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/calendar")
    client.post("/year/calendar")
    assert client.get(f"/calendar/{token}.ics").status_code == 404


# Planned anew.


def test_a_week_later_the_plan_goes_on_as_it_was(own: Garden) -> None:
    first = year(own)
    with Garden.open(own.path, StillClock(NOW + timedelta(days=7))) as later:
        second = year(later)
    days = {job.id: job.day for job in first.jobs}
    there = [job for job in second.jobs if job.id in days]
    assert len(there) >= len(first.jobs) - 1
    assert all(abs((job.day - days[job.id]).days) <= 7 for job in there)


def test_a_heap_that_was_planned_and_then_built_goes_on_under_its_name(own: Garden) -> None:
    first = year(own)
    build = next(job for job in first.jobs if job.kind is JobKind.BUILD)
    then = datetime.combine(build.day, datetime.min.time(), NOW.tzinfo) + timedelta(hours=18)
    with Garden.open(own.path, StillClock(then)) as later:
        body = {"batch": "mine", "name": "Mine", "bin": build.bin_key, "fill": FILL}
        log(later, EntryKind.BUILD, body, at=then - timedelta(hours=1), origin="page")
        second = year(later)
    kept = year_kept.read(own.path)
    assert kept is not None and kept.planned_as == {"mine": build.batch_key}
    ids = {job.id for job in second.jobs}
    assert f"{build.batch_key}-middle" in ids or f"{build.batch_key}-harvest" in ids


@pytest.mark.parametrize("spoilt", ["", "{", "[]", '{"form": 1}', '{"form": 99}'])
def test_a_kept_plan_that_is_spoilt_is_passed_over(tmp_path: Path, spoilt: str) -> None:
    journal = tmp_path / "garden.heapwright"
    year_kept.path_of(journal).write_text(spoilt, encoding="utf-8")
    assert year_kept.read(journal) is None


def test_a_kept_plan_reads_as_it_was_written(own: Garden, tmp_path: Path) -> None:
    year(own)
    kept = year_kept.read(own.path)
    assert kept is not None
    year_kept.write(tmp_path / "other", kept)
    assert year_kept.read(tmp_path / "other") == kept


def test_written_by_several_at_once_a_kept_plan_is_whole(own: Garden, tmp_path: Path) -> None:
    year(own)
    kept, journal = year_kept.read(own.path), tmp_path / "other"
    assert kept is not None
    plan = kept

    def again(_: int) -> bool:
        year_kept.write(journal, plan)
        return year_kept.read(journal) == plan

    with ThreadPoolExecutor(8) as several:
        assert all(several.map(again, range(64)))
    assert [one.name for one in tmp_path.glob("other*")] == [year_kept.path_of(journal).name]


@pytest.mark.parametrize(
    "loads, told, shown",
    [
        (0.2, "About half a barrow load", "½"),
        (0.8, "About 1 barrow load of", "1"),
        (9.6, "About 10 barrow loads of", "10"),
    ],
)
def test_work_is_told_in_loads(loads: float, told: str, shown: str) -> None:
    assert year_words.work_told(loads).startswith(told)
    assert year_words.loads_shown(loads) == shown


def test_opened_again_the_same_plan_is_told_without_solving(
    own: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = year(own)
    with Garden.open(own.path, StillClock(NOW)) as again:
        monkeypatch.setattr("heapwright.workshop.year.plan_rotation", None)
        assert year(again).plan.batches == first.plan.batches


def test_today_tells_what_the_plan_has_for_the_week(
    gardens: dict[str, Garden], tmp_path: Path
) -> None:
    own = copied(gardens["hot dry"], tmp_path)
    near = planned_near(own)
    week = [job for job in year(own).jobs if (job.day - NOW.date()).days < 7]
    assert [one.day for one in near] == [job.day for job in week]
    for one, job in zip(near, week, strict=True):
        if job.kind is not JobKind.BUILD:  # the heap has no name yet
            assert render(one.told, own.reader()) == render(job.told, own.reader())
    client = TestClient(create_app(own), base_url="http://127.0.0.1")
    assert ("This week by the year" in client.get("/").text) == bool(near)
    cautions = [caution.template for one in near for caution in one.cautions]
    assert cautions and len(cautions) == len(set(cautions))
    assert {one.template for job in week for one in job.cautions} == set(cautions)
    year_kept.path_of(own.path).unlink()
    assert planned_near(own) == ()
    own.close()


def test_today_leaves_out_what_is_done_and_what_an_old_plan_said(
    gardens: dict[str, Garden], tmp_path: Path
) -> None:
    own = copied(gardens["hot dry"], tmp_path)
    build = next(job for job in year(own).jobs if job.kind is JobKind.BUILD)
    at = datetime.combine(build.day, datetime.min.time(), NOW.tzinfo) + timedelta(hours=18)
    there = own.batch_in(build.bin_key)
    own.close()
    begin = "Begin a heap"

    def told(then: datetime) -> str:
        with Garden.open(own.path, StillClock(then)) as later:
            return " ".join(render(one.told, later.reader()) for one in planned_near(later))

    assert begin in told(at)
    assert begin not in told(at + timedelta(days=1))
    with Garden.open(own.path, StillClock(at)) as later:
        before = at - timedelta(hours=2)
        if there is not None:
            log(later, EntryKind.USE, {"bin": build.bin_key, "all": True}, at=before, origin="page")
        body = {"batch": "mine", "name": "Mine", "bin": build.bin_key, "fill": FILL}
        log(later, EntryKind.BUILD, body, at=at - timedelta(hours=1), origin="page")
    assert begin not in told(at)
    kept = year_kept.read(own.path)
    assert kept is not None
    days = {key: replace(one, day=one.day + timedelta(days=60)) for key, one in kept.jobs.items()}
    year_kept.write(own.path, replace(kept, jobs=days))
    assert told(at + timedelta(days=60)) == ""


def test_the_beds_count_on_the_compost_of_the_plan(
    gardens: dict[str, Garden], tmp_path: Path
) -> None:
    own = copied(gardens["hot dry"], tmp_path)
    planned, answer = beds(own), year(own)
    harvests = [one for one in answer.plan.batches if one.harvest_week is not None]
    assert len(planned.expected) == len(harvests)
    assert planned.until == answer.first_day + timedelta(weeks=52)
    for line in planned.lines:  # one rule shares it out on both pages
        served = [
            one.served_m3 for one in answer.beds if (one.key, one.due) == (line.bed.key, line.due)
        ]
        assert served == [pytest.approx(line.own_m3.low, abs=WHOLE_LITRE_M3)]
    likely = sum(one.volume_m3.likely for one in planned.expected)
    assert likely == pytest.approx(sum(one.yield_m3.likely for one in harvests))
    year_kept.path_of(own.path).unlink()
    assert beds(own).until < planned.until
    own.close()


# Wishes.


def test_nobody_works_while_away(own: Garden) -> None:
    go_away(own, date(2026, 6, 22), date(2026, 7, 12), origin="page")
    inputs = year_inputs(own)
    assert inputs.away[2:4] == (True, True)
    assert inputs.problem.work_loads[2] == inputs.problem.work_loads[3] == 0.0
    assert aways(own)[0].from_date == date(2026, 6, 22)
    be_there(own, "2026-06-22", origin="page")
    assert not any(year_inputs(own).away[1:5])
    with pytest.raises(HeapwrightError, match="No days away"):
        be_there(own, "2026-06-22", origin="page")


def test_without_any_time_the_plan_says_so(own: Garden) -> None:
    log(own, EntryKind.WISHES, {"loads_per_week": 0.0}, origin="page")
    answer = year(own)
    told = " ".join(render(one, own.reader()) for one in answer.cannot)
    assert "Nobody works at the heaps" in told
    assert answer.jobs == ()


def test_a_bed_due_before_anything_can_be_ready_is_named(own: Garden) -> None:
    body = {"key": "now", "name": "Now", "use": "top-up", "area_m2": 4.0, "due": "2026-07-01"}
    log(own, EntryKind.BED, body, origin="page")
    told = " ".join(render(one, own.reader()) for one in year(own).cannot)
    assert "Now is due by" in told and "nothing can be ready before" in told


def test_a_garden_without_a_bin_is_told_where_to_begin(tmp_path: Path) -> None:
    with Garden.open(tmp_path / "garden.heapwright", StillClock(NOW)) as garden:
        client = TestClient(create_app(garden), base_url="http://127.0.0.1")
        assert "No bin yet" in client.get("/year").text
        assert client.get("/api/year").status_code == 404


def test_the_forms_keep_wishes_and_refuse_in_words(own: Garden) -> None:
    client = TestClient(create_app(own), base_url="http://127.0.0.1")
    given = {"work_days": ["mon", "fri"], "loads_per_week": "9", "sureness": "0.9"}
    given |= {"batches_most": "6", "gather_weeks": "2", "shredding": "yes"}
    given |= {"water_price": "5", "compost_price": "40", "currency": "$"}
    assert client.post("/year/wishes", data=given, follow_redirects=False).status_code == 303
    wishes = own.state().year.wishes
    assert wishes.work_days == ("mon", "fri") and wishes.gather_weeks == 2 and wishes.shredding
    # 1000 US gal are 3.785 m³ and 1 yd³ is 0.7646 m³ (yield-use-season, unit facts).
    assert wishes.water_price_m3 == pytest.approx(5 / 3.785, rel=1e-3)
    assert wishes.compost_price_m3 == pytest.approx(40 / 0.7646, rel=1e-3)
    wrong = client.post("/year/wishes", data=given | {"loads_per_week": "many"})
    assert wrong.status_code == 422
    assert "Barrow loads in a week: &#34;many&#34; is not a number" in wrong.text
    none = client.post("/year/wishes", data={"loads_per_week": "9"})
    assert none.status_code == 422 and "No day is chosen" in none.text
    away = {"from_date": "2026-08-10", "to_date": "2026-08-01"}
    assert "lies before the first" in client.post("/year/away", data=away).text
    away["to_date"] = "2026-08-20"
    assert client.post("/year/away", data=away, follow_redirects=False).status_code == 303


# Parts.


def test_greens_gathered_over_weeks_are_the_same_greens(looked_at: Garden) -> None:
    stuff = year_inputs(looked_at).problem.stuff[0]
    shifted = gathered(stuff, 3)
    early = sum(lot.volume_m3 for lot in shifted.on_hand) - sum(
        lot.volume_m3 for lot in stuff.on_hand
    )
    assert early == pytest.approx(sum(stuff.arriving_m3[:3]))
    assert sum(shifted.arriving_m3) == pytest.approx(sum(stuff.arriving_m3))
    assert shifted.keeps_weeks == stuff.keeps_weeks + 3
    assert gathered(stuff, 0) == stuff


@pytest.mark.parametrize(
    "hits, tries, low, high",
    # Newcombe 1998, Stat. Med. 17:857-872, table I, Wilson's method at 95 %, from memory.
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611)],
)
def test_wilson_interval_is_the_published_one(
    hits: int, tries: int, low: float, high: float
) -> None:
    assert wilson(hits, tries, z=1.959964) == pytest.approx((low, high), abs=5e-5)


def test_what_if_tells_of_a_bin_shredding_and_a_helper(own: Garden) -> None:
    found = {one.key: one for one in year_what_if(own)}
    assert set(found) == {"one more bin", "shredding", "a helper"}
    # A bin more or time more never takes anything away: the plan need not use them.
    for key in ("one more bin", "a helper"):
        assert found[key].served_m3 >= -WHOLE_LITRE_M3
    assert found["shredding"].note is not None
    log(own, EntryKind.WISHES, {"shredding": True}, origin="page")
    assert "shredding" not in {one.key for one in year_what_if(own)}
    client = TestClient(create_app(own), base_url="http://127.0.0.1")
    assert "One more bin" in client.get("/year/what-if").text
    assert {one["key"] for one in client.get("/api/year/what-if").json()} == {
        "one more bin",
        "a helper",
    }


def test_what_was_done_is_no_change_and_what_is_dropped_is_named(own: Garden) -> None:
    answer = year(own)
    problem, today = answer.problem, NOW.date()
    heap = StandingHeap("mine", "Mine", "left", Stage.MIDDLE, 3, (4,), 0.5, Yield(0.1, 0.1, 0.1))
    stands = replace(problem, standing=(heap,))
    day = today + timedelta(days=2)
    known = {
        "year-1-first": KeptJob(day, "", 0, "build", "", "left"),
        "year-1-middle": KeptJob(day, "", 0, "move", "", "left", "right"),
        "gone-harvest": KeptJob(day, "", 0, "harvest", "Gone", "right"),
        "year-1-harvest": KeptJob(day, "", 0, "harvest", "", "right"),
        "year-9-first": KeptJob(day, "", 0, "build", "", "left"),
        "year-8-first": KeptJob(day, "", 0, "build", "", "sold"),
    }
    found = changes(known, (), stands, {"mine": "year-1"}, today)
    assert {render(one, own.reader()).split(" on ")[0] for one in found} == {
        "Nothing is taken out of Right",
        "No heap is begun in Left",
        "No longer",
    }


def test_wishes_that_change_no_number_are_known_at_once(tmp_path: Path) -> None:
    """The words of what a plan lacks follow the journal, though the plan stays as it is."""
    with Garden.open(tmp_path / "plain.heapwright", StillClock(NOW)) as plain:
        setup.settings(plain, origin="page", name="Plain", climate="seattle", units="us")
        setup.save_bin(plain, name="Bin", origin="page", width_m=1.0, depth_m=1.0, height_m=1.0)
        usual = {"work_days": ["sat", "sun"], "loads_per_week": loads_per_week(plain)}
        assert "Saturday and Sunday" in _lacking(plain)
        log(plain, EntryKind.WISHES, usual, origin="page")
        assert "Saturday and Sunday" not in _lacking(plain)


def _lacking(garden: Garden) -> str:
    return " ".join(render(one, garden.reader()) for one in year(garden).lacking)


@pytest.mark.parametrize("sureness", [0.6, 0.8, 0.95])
def test_a_poor_year_gives_less_than_is_counted_on(sureness: float) -> None:
    made = Yield(0.10, 0.15, 0.23)
    parts = [n / 100 for n in range(101)]
    yields = [yield_at(made, part, sureness) for part in parts]
    assert yields == sorted(yields) and yields[0] >= 0.0
    assert yield_at(made, 1.0 - sureness, sureness) == pytest.approx(made.sure)
    assert yield_at(made, 0.5, sureness) == made.likely and yields[90] == made.high
    less = sum(one < made.sure - 1e-9 for one in yields) / len(yields)
    assert less == pytest.approx(1.0 - sureness, abs=0.02)


def test_a_year_as_slow_as_the_slowest_heap_is_the_plan_that_counts_on_all_of_them(
    looked_at: Garden,
) -> None:
    inputs = year_inputs(looked_at)
    ends = np.cumsum(member_weeks(inputs), axis=0).max(axis=2)
    all_of_them = sure_ends(inputs.stages.lengths, 1.0)
    shifted = np.cumsum(np.roll(all_of_them, -inputs.gather_weeks, axis=1), axis=0)
    known = shifted < NEVER_WEEKS
    assert (ends[known] == shifted[known] + inputs.gather_weeks).all()
