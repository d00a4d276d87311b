"""The trade's list of troubles: each of its rows is found from its symptom.

The rows are those of the merged list of extension sheets in docs/science.md, "Finding the fault".
Row 21 names odours and is held by the rows of smell.
"""

from __future__ import annotations

import pytest

from heapwright.diagnosis.looks import seen_witnesses
from heapwright.diagnosis.tables import causes, shares, signs
from heapwright.diagnosis.types import FloatArray, Seen
from heapwright.diagnosis.weigh import weigh
from heapwright.sources import load_sources, source_ids
from heapwright.tables import Evidence, parameter_table, read_rows

#: Row of the list, what is seen, what the log says, causes the row names.
ROWS = [
    (1, Seen(smell="rotten egg"), {}, {"too_wet", "airless", "rotten"}),
    (1, Seen(smell="sour"), {}, {"too_wet", "airless", "rotten"}),
    (2, Seen(smell="ammonia"), {}, {"ammonia"}),
    (3, Seen(), {"course": "lukewarm", "size": "tiny"}, {"too_small"}),
    (4, Seen(squeeze="dusty"), {"course": "never warm"}, {"too_dry"}),
    (
        5,
        Seen(squeeze="drops", present=frozenset({"big pieces"})),
        {"course": "lukewarm", "model nitrogen": "poor"},
        {"short_of_nitrogen"},
    ),
    (6, Seen(squeeze="dripping"), {"course": "never warm"}, {"too_wet"}),
    (7, Seen(), {"course": "fell early"}, {"used_up", "too_dry"}),
    (8, Seen(), {"course": "too hot"}, {"too_hot"}),
    (9, Seen(present=frozenset({"dry outside", "ashy"})), {}, {"too_dry"}),
    (10, Seen(present=frozenset({"matted"})), {}, {"mats"}),
    (11, Seen(present=frozenset({"big pieces"})), {}, {"coarse"}),
    (12, Seen(present=frozenset({"flies"})), {}, {"flies"}),
    (13, Seen(present=frozenset({"rats"})), {}, {"scavengers"}),
    (14, Seen(present=frozenset({"puddle"})), {}, {"drainage"}),
    (15, Seen(), {"course": "never warm", "air": "frosty"}, {"cold"}),
    (16, Seen(present=frozenset({"weeds"})), {}, {"cool_shell"}),
    (17, Seen(present=frozenset({"stunted"})), {}, {"immature"}),
    (18, Seen(present=frozenset({"cupped leaves"})), {}, {"herbicide"}),
    (19, Seen(present=frozenset({"warm middle only"})), {}, {"too_small"}),
    (20, Seen(present=frozenset({"ants"})), {}, {"too_dry"}),
]


def witnesses(seen: Seen, logged: dict[str, str]) -> dict[str, FloatArray]:
    return {
        **seen_witnesses(seen),
        **{name: signs()[name].one(outcome) for name, outcome in logged.items()},
    }


@pytest.mark.parametrize(("row", "seen", "logged", "named"), ROWS)
def test_weigh_matches_the_trades_list_row(
    row: int, seen: Seen, logged: dict[str, str], named: set[str]
) -> None:
    """Each row of the trade's list is found from its symptom, its cause first."""
    first = weigh(witnesses(seen, logged))[0]
    assert first.cause.id in named, f"row {row}: {first.cause.name}"
    assert not {"fine"} & named


@pytest.mark.parametrize("row", sorted({row for row, *_ in ROWS}))
def test_weigh_keeps_a_rows_causes_among_the_first_three(row: int) -> None:
    """What a row of the trade's list names stands among the three likeliest."""
    for number, seen, logged, named in ROWS:
        if number == row:
            top = {one.cause.id for one in weigh(witnesses(seen, logged))[:3]}
            assert named & top
            assert len(named & top) >= min(2, len(named))


def test_ammonia_with_a_wet_handful_keeps_both_published_causes_in_sight() -> None:
    """One sheet blames too much nitrogen, another more than 65 % moisture: the hand decides."""
    wet = weigh(witnesses(Seen(smell="ammonia", squeeze="dripping"), {}))
    dry = weigh(witnesses(Seen(smell="ammonia", squeeze="drops"), {}))
    of = {one.cause.id: one.probability for one in wet}
    assert of["too_wet"] > next(x.probability for x in dry if x.cause.id == "too_wet")


@pytest.mark.parametrize(
    ("moisture_row", "figure"), [("dry", 0.40), ("wet", 0.65), ("burning_c", 85.0)]
)
def test_limits_match_the_figures_read(moisture_row: str, figure: float) -> None:
    """Slow below 40 % and short of air above 65 % moisture; act at 185 °F (85 °C)."""
    estimate = parameter_table("heapwright.diagnosis", "data/limits.csv")[moisture_row]
    assert estimate.typical == pytest.approx(figure)
    assert estimate.evidence is Evidence.SEEN


def test_every_cause_has_a_row_and_every_source_is_known() -> None:
    known = set(load_sources()) | {"from memory", "common practice"}
    for name in ("causes", "signs", "evidence", "limits"):
        for row in read_rows("heapwright.diagnosis", f"data/{name}.csv"):
            assert row["source"], row
            ids = set(source_ids(row["source"])) or {row["source"]}
            assert ids <= known, row
            assert float(row["low"]) <= float(row["typical"]) <= float(row["high"]), row
    named = set().union(*(causes_named for *_, causes_named in ROWS))
    assert named == {cause.id for cause in causes()} - {"fine", "spent", "young"}


def test_shares_of_a_sign_add_up_for_every_cause() -> None:
    for name, table in shares().items():
        assert table.shape == (len(causes()), len(signs()[name].outcomes), 3)
        assert table[:, :, 1].sum(axis=1) == pytest.approx(1.0)
