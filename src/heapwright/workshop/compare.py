"""Answers what heaps of this garden say side by side: each in one line, and what worked here.

Knows which choices are held against which outcomes, and how the lines of the heaps come together.
Knows nothing of pages. What went together is never called a cause.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from heapwright.errors import OutOfRange
from heapwright.journal.entries import BatchState
from heapwright.season.between import Between, Middle, middle
from heapwright.season.compared import Pairs, holm, pairs, settings
from heapwright.season.shift import Shift, shift
from heapwright.wording import worded
from heapwright.workshop import compare_questions, compare_words
from heapwright.workshop.batch_story import find_batch
from heapwright.workshop.compare_answer import (
    Choice,
    Comparison,
    Finding,
    HeapCompared,
    HeapNamed,
    Outcome,
    OutcomeMiddle,
    Standing,
)
from heapwright.workshop.compare_heap import heap_compared
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import settings_table


def _chosen(heap: HeapCompared, choice: Choice) -> float | None:
    """Return what was chosen for a heap, as a number; None where it is not known."""
    if choice is Choice.TURNS:
        return float(heap.early_turns)
    if choice is Choice.WARMTH:
        return None if heap.weather is None else heap.weather.early_air_c
    if choice is Choice.WATER:
        return None if heap.volume_m3 is None else heap.early_water_kg / heap.volume_m3.likely
    known = {
        Choice.C_TO_N: heap.c_to_n,
        Choice.MOISTURE: heap.moisture,
        Choice.VOLUME: heap.volume_m3,
    }[choice]
    return None if known is None else known.likely


def _days_hot(heap: HeapCompared) -> Between | None:
    """Return how long it was hot, with the estimate's range; open while it may still go on."""
    told = heap.hot.estimated_days
    if told is None:
        return None
    is_going_on = not heap.is_over and heap.cured_after_days is None
    return Between(told.low, None if is_going_on else told.high)


def _yield(heap: HeapCompared) -> Between | None:
    return None if heap.yield_share is None else Between.exactly(heap.yield_share)


_OUTCOMES: Mapping[Outcome, Callable[[HeapCompared], Between | None]] = {
    Outcome.DAYS_TO_HOT: lambda heap: heap.days_to_hot,
    Outcome.DAYS_HOT: _days_hot,
    Outcome.DAYS_TO_FINISHED: lambda heap: heap.days_to_finished,
    Outcome.YIELD_SHARE: _yield,
}
#: What was chosen before a heap got hot; turns and water after it say nothing of why it did.
_BEFORE_HEAT = (Choice.MOISTURE, Choice.C_TO_N, Choice.VOLUME, Choice.WARMTH)


def compare(garden: Garden, keys: Sequence[str] = ()) -> Comparison:
    """Return heaps side by side and what they say together.

    Parameters
    ----------
    garden : Garden
    keys : sequence of str
        Keys or names of heaps; without any the latest are taken.

    Raises
    ------
    NotFound
        If there is no such heap.
    OutOfRange
        If more are asked for than are compared at once.

    """
    chosen = _chosen_batches(garden, keys)
    hour = garden.now().replace(minute=0, second=0, microsecond=0)
    key = ("compare", garden.mark(), hour, tuple(one.key for one in chosen))
    return garden.remembered(key, lambda: _compared(garden, chosen))


def _chosen_batches(garden: Garden, keys: Sequence[str]) -> list[BatchState]:
    most = round(settings()["most_heaps"])
    if len(keys) > most:
        raise OutOfRange(
            worded("{count} heaps at once", count=len(keys)),
            instead=worded("Choose {most} or fewer", most=most),
        )
    if keys:
        found = {one.key: one for one in (find_batch(garden, key) for key in keys)}
        return sorted(found.values(), key=lambda one: (one.built_at, one.key))
    return _all(garden)[-round(settings()["usual_heaps"]) :]


def _all(garden: Garden) -> list[BatchState]:
    return sorted(garden.state().batches.values(), key=lambda one: (one.built_at, one.key))


def _compared(garden: Garden, batches: Sequence[BatchState]) -> Comparison:
    heaps = tuple(heap_compared(garden, one) for one in batches)
    hot_c = settings_table()["hot_share_c"]
    findings = _findings(heaps, hot_c)
    shown = {one.key for one in batches}
    state = garden.state()
    return Comparison(
        now=garden.now(),
        garden_name=state.settings.name,
        is_demo=state.settings.is_demo,
        hot_c=hot_c,
        heaps=heaps,
        choosable=tuple(
            HeapNamed(one.key, one.name, one.built_at, one.key in shown)
            for one in reversed(_all(garden))
        ),
        usual=tuple(_usual(heaps, hot_c)),
        findings=findings,
        told=compare_words.headline(heaps, findings),
        questions=compare_questions.questions(heaps, findings, hot_c),
        cautions=compare_words.CAUTIONS,
        notes=compare_words.notes(heaps),
    )


def _usual(heaps: Sequence[HeapCompared], hot_c: float) -> Iterator[OutcomeMiddle]:
    for outcome, read in _OUTCOMES.items():
        known = [value for heap in heaps if (value := read(heap)) is not None]
        if len(known) >= 2:
            found = middle(known)
            yield OutcomeMiddle(outcome, found, compare_words.usual(outcome, found, hot_c))


def _findings(heaps: Sequence[HeapCompared], hot_c: float) -> tuple[Finding, ...]:
    """Return every choice against every outcome it came before, least likely by chance first."""
    looked: list[tuple[Choice, Outcome, list[tuple[float, Between]], Pairs]] = []
    for outcome, read in _OUTCOMES.items():
        choices = _BEFORE_HEAT if outcome is Outcome.DAYS_TO_HOT else tuple(Choice)
        for choice in choices:
            rows = _rows(heaps, choice, read)
            if len(rows) < settings()["least_heaps"]:
                continue
            found = pairs([value for value, _ in rows], [told for _, told in rows])
            if found.agree + found.against > 0:
                looked.append((choice, outcome, rows, found))
    corrected = holm([found.chance for *_, found in looked])
    told = [
        _finding(choice, outcome, rows, found, chance, hot_c)
        for (choice, outcome, rows, found), chance in zip(looked, corrected, strict=True)
    ]
    return tuple(sorted(told, key=lambda one: (one.chance, -abs(one.leaning))))


def _rows(
    heaps: Sequence[HeapCompared],
    choice: Choice,
    read: Callable[[HeapCompared], Between | None],
) -> list[tuple[float, Between]]:
    """Return choice and outcome of the heaps that have both, those with least of it first."""
    known = [(_chosen(heap, choice), read(heap)) for heap in heaps if not heap.was_there]
    rows = [(value, told) for value, told in known if value is not None and told is not None]
    return sorted(rows, key=lambda row: row[0])


def _finding(
    choice: Choice,
    outcome: Outcome,
    rows: Sequence[tuple[float, Between]],
    found: Pairs,
    corrected: float,
    hot_c: float,
) -> Finding:
    less, more, moved = _halves(rows)
    made = Finding(
        choice=choice,
        outcome=outcome,
        heaps=len(rows),
        agree=found.agree,
        against=found.against,
        undecided=found.undecided,
        leaning=found.leaning,
        chance=found.chance,
        corrected=corrected,
        least_chance=found.least_chance,
        standing=_standing(found, corrected),
        less=less,
        more=more,
        shift=moved,
        told=(),
    )
    return compare_words.with_words(made, hot_c)


def _standing(found: Pairs, corrected: float) -> Standing:
    """Return how much a pattern is worth; few heaps are called few whatever they show."""
    limits = settings()
    if found.least_chance > limits["clear_chance"]:
        return Standing.TOO_FEW
    if corrected <= limits["clear_chance"]:
        return Standing.CLEAR
    return Standing.HINT if found.chance <= limits["hint_chance"] else Standing.NOTHING


def _halves(
    rows: Sequence[tuple[float, Between]],
) -> tuple[Middle | None, Middle | None, Shift | None]:
    """Return the outcome of the half with less and with more; of an odd number the middle falls.

    None where the two halves meet in the same value: then nothing tells them apart.
    """
    half = len(rows) // 2
    first, last = rows[:half], rows[-half:]
    if first[-1][0] == last[0][0]:
        return None, None, None
    less, more = ([told for _, told in part] for part in (first, last))
    ends = [[_known(told) for told in part] for part in (more, less)]
    closed = [[value for value in part if value is not None] for part in ends]
    is_closed = all(len(part) == half for part in closed)
    return middle(less), middle(more), shift(*closed) if is_closed else None


def _known(told: Between) -> float | None:
    """Return the middle of a number's bounds; None when it is open."""
    return None if told.high is None else (told.low + told.high) / 2.0
