"""Hand-made answers for the pages: every state a card can be in, without a heap model.

Knows the types only. The numbers are invented and mean nothing.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np

from heapwright.advice.types import Advice, Interval, Job, Sureness
from heapwright.journal.entries import BinState
from heapwright.sentences import days, say, temperature, water, word
from heapwright.workshop.answers import (
    BinAnswer,
    BinToday,
    CourseFrame,
    CrossSection,
    EventShown,
    Forecast,
    HeapCourse,
    HeatShare,
    Phase,
    ReadingShown,
    TodayAnswer,
    WeatherToday,
)

NOW = datetime(2026, 6, 18, 15, 20, tzinfo=UTC)


def bin_state(number: int = 1, wall: str = "pallets", batch: str | None = "b1") -> BinState:
    """One of a row of bins."""
    return BinState(
        key=f"bin-{number}",
        name=f"Bin {number}",
        width_m=0.91,
        depth_m=0.91,
        height_m=0.91,
        wall=wall,
        cover="brown cap",
        shade=0.3,
        order=number,
        batch_key=batch,
    )


def reading(celsius: float = 58.3, hours_ago: float = 14.0) -> ReadingShown:
    """A reading of the core."""
    return ReadingShown("a" * 32, NOW - timedelta(hours=hours_ago), celsius, 0.45, "core")


def forecast(days_past: int = 9, days_ahead: int = 7, peak_c: float = 60.0) -> Forecast:
    """A heap that heats, was turned once, and cools."""
    past = days_past * 24
    hours = np.arange(past + days_ahead * 24, dtype=float)
    rise = (peak_c - 22.0) * (1 - np.exp(-hours / 30.0)) * np.exp(-hours / 600.0)
    turned = 14.0 * np.exp(-np.clip(hours - 120.0, 0, None) / 12.0) * (hours >= 120)
    likely = 22.0 + rise - turned
    width = 2.0 + 8.0 * np.clip(hours - past, 0, None) / 168.0
    daily = 26.0 + 9.0 * np.sin(2 * np.pi * (hours - 9.0) / 24.0)
    rain = np.where((hours > 60) & (hours < 66), 1.7, 0.0)
    return Forecast(
        start=(NOW - timedelta(hours=past)).replace(minute=0),
        now_index=past,
        low_c=likely - width,
        likely_c=likely,
        high_c=likely + width,
        air_c=daily,
        rain_mm=rain,
        depth_m=0.45,
        basis=say("From {count} readings, what went in and the weather.", count=word("9")),
        notes=(say("The weather ahead is that of a usual year."),),
    )


def advice(job: Job = Job.LEAVE, **changes: object) -> Advice:
    """A piece of advice for a job."""
    whole = {
        "job": job,
        "headline": say("Leave it alone and read it again tomorrow."),
        "reasons": (
            say(
                "It reads {now}. Between {low} and {high} a heap works best left alone.",
                now=temperature(58.3),
                low=temperature(43.3),
                high=temperature(71.1),
            ),
        ),
        "amounts": (),
        "expected": (
            say(
                "Expect {low} to {high} this time tomorrow.",
                low=temperature(55.0),
                high=temperature(60.0),
            ),
        ),
        "cautions": (),
        "sureness": Sureness.SEEN,
        "afterwards": (),
    }
    return Advice(**{**whole, **changes})  # type: ignore[arg-type]


def turning_advice() -> Advice:
    """The longest sort: amounts, cautions and what must follow."""
    return advice(
        Job.MOVE,
        headline=say("Move it to {bin}, outside in.", bin=word("Bin 3")),
        reasons=(
            say(
                "It reads {now} and was as hot as {peak}. Below {limit} it wants air and water.",
                now=temperature(35.0),
                peak=temperature(66.0),
                limit=temperature(37.8),
            ),
            say("It was last turned {ago} ago.", ago=days(6)),
        ),
        amounts=(
            say(
                "About {likely} of water ({low} to {high}) while you turn.",
                likely=water(57.0),
                low=water(38.0),
                high=water(76.0),
            ),
            say("Put what was outside into the middle, where the heat is."),
        ),
        cautions=(
            say("Spores and dust: keep it damp, stay upwind, wear a mask that fits."),
            say("Lift with half-full barrows and a straight back."),
        ),
        afterwards=(say("End with a cap of brown over everything."),),
    )


def bin_today(number: int = 1, **changes: object) -> BinToday:
    """A hot bin that is to be left alone, unless changed."""
    whole = {
        "bin": bin_state(number),
        "batch_key": "b1",
        "batch_name": "Leaves and lawn",
        "age_days": 9.3,
        "stage": "hot",
        "advice": advice(),
        "last_reading": reading(),
        "forecast": forecast(),
        "problems": (),
    }
    return BinToday(**{**whole, **changes})  # type: ignore[arg-type]


def empty_bin(number: int = 3) -> BinToday:
    """A bin with nothing in it."""
    return bin_today(
        number,
        bin=bin_state(number, batch=None),
        batch_key=None,
        batch_name="",
        age_days=None,
        stage="empty",
        advice=advice(
            Job.BUILD,
            headline=say("Empty: build the next heap here."),
            reasons=(say("{bin} is free.", bin=word(f"Bin {number}")),),
            expected=(),
        ),
        last_reading=None,
        forecast=None,
    )


def burning_bin(number: int = 4) -> BinToday:
    """A bin nobody should dig in."""
    return bin_today(
        number,
        advice=advice(
            Job.STAND_BACK,
            headline=say("Stand back and do not dig: it may be burning inside."),
            cautions=(say("Stay upwind and keep people away."),),
        ),
        last_reading=reading(88.0, 0.5),
        problems=(say("A reading looks wrong: see the bin's page."),),
    )


def today_answer() -> TodayAnswer:
    """A garden with a card of every sort."""
    return TodayAnswer(
        garden_name="Paper garden",
        is_demo=True,
        at=NOW,
        bins=(
            bin_today(1),
            bin_today(
                2,
                batch_name="Prunings",
                age_days=21.0,
                advice=turning_advice(),
                last_reading=reading(35.0, 3.0),
            ),
            empty_bin(3),
            burning_bin(4),
            bin_today(5, last_reading=None, forecast=None, stage="curing"),
        ),
        weather=WeatherToday(31.0, 19.0, 38.0, 0.0, "Tucson, typical year", is_typical=True),
        stock=(),
        notes=(say("One entry no longer makes sense."),),
    )


def cross_section(radii: int = 10, heights: int = 20) -> CrossSection:
    """Hot in the middle, a little above half way up."""
    across = (np.arange(radii) + 0.5) / radii
    up = (np.arange(heights) + 0.5) / heights
    bell = np.exp(-(((up - 0.55) / 0.42) ** 2))
    temperature_c = 27.0 + 42.0 * np.outer(1 - across**3, bell)
    return CrossSection(
        temperature_c=temperature_c,
        moisture=np.full((radii, heights), 0.53),
        radius_edges_m=np.linspace(0.0, 0.51, radii + 1),
        height_edges_m=np.linspace(0.0, 0.74, heights + 1),
    )


def heap_course(shown: BinToday | None = None) -> HeapCourse:
    """A heap that is built, turned, sinks, and goes on sinking ahead."""
    now = 4
    section = cross_section()
    frames = tuple(
        CourseFrame(
            at=NOW + timedelta(days=number - now),
            hours=24 * number,
            phase=Phase.NOW if number == now else Phase.PAST if number < now else Phase.AHEAD,
            section=CrossSection(
                section.temperature_c - 4.0 * number,
                np.linspace(0.30, 0.75, 200).reshape(10, 20) - 0.01 * number,
                section.radius_edges_m,
                section.height_edges_m * (1.1 - 0.03 * number),
            ),
            tip_c=60.0 - 4.0 * number,
            bin=(shown or bin_today()).bin,
            done=(EventShown("c" * 32, NOW, "turn", say("Stirred where it stands.")),)
            if number == 2
            else (),
        )
        for number in range(8)
    )
    return HeapCourse(frames, now_index=now, tip_depth_m=0.45, readings=1)


def bin_answer(shown: BinToday | None = None) -> BinAnswer:
    """Everything a bin's page can show."""
    marks = (("build", 9.2, "Built in Bin 1."), ("turn", 4.2, "Stirred where it stands."))
    return BinAnswer(
        today=shown or bin_today(),
        cross_section=cross_section(),
        heat_share=HeatShare(
            55.0, 72.0, Interval(0.3, 0.41, 0.5), 5, say("This is the model's estimate, not proof.")
        ),
        moisture=Interval(0.48, 0.53, 0.58),
        degradable_left=Interval(0.35, 0.44, 0.52),
        volume_m3=0.62,
        readings=tuple(reading(22.0 + 4.5 * day, 24.0 * (9 - day)) for day in range(9)),
        events=tuple(
            EventShown(f"{number:032x}", NOW - timedelta(days=ago), kind, say(text))
            for number, (kind, ago, text) in enumerate(marks)
        ),
    )
