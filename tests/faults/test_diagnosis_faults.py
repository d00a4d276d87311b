"""Words that are no sign, and signs that contradict: told in four parts, nothing is changed."""

from __future__ import annotations

import numpy as np
import pytest

from heapwright.diagnosis.looks import said, seen_witnesses
from heapwright.diagnosis.types import Seen
from heapwright.diagnosis.weigh import weigh
from heapwright.errors import NotUnderstood


@pytest.mark.parametrize(
    ("seen", "what", "instead"),
    [
        (Seen(smell="fishy"), 'The smell "fishy" is not known', "ammonia"),
        (Seen(squeeze="wet"), 'The squeeze "wet" is not known', "dripping"),
        (Seen(present=frozenset({"bears"})), 'The sign "bears" is not known', "rats"),
        (Seen(absent=frozenset({"x" * 99})), 'The sign "xxx', "flies"),
        (Seen(present=frozenset({"earthy"})), 'The sign "earthy" is not known', "matted"),
    ],
)
def test_an_unknown_word_is_refused_with_those_that_are_known(
    seen: Seen, what: str, instead: str
) -> None:
    with pytest.raises(NotUnderstood) as caught:
        seen_witnesses(seen)
    problem = caught.value
    assert problem.what.startswith(what) and len(problem.what) < 80
    assert instead in problem.instead
    assert problem.why and problem.kept == "Nothing was changed."


def test_there_and_not_there_at_once_is_refused() -> None:
    with pytest.raises(NotUnderstood, match='"ants" is said to be there and not to be there'):
        seen_witnesses(Seen(present=frozenset({"ants"}), absent=frozenset({"ants"})))


def test_words_are_read_as_people_type_them() -> None:
    seen = said(" Sour ", "DRY", ["Mice", " flies ", ""], ["Ants"])
    assert seen == Seen("sour", "dry", frozenset({"rats", "flies"}), frozenset({"ants"}))


@pytest.mark.parametrize(
    ("witnesses", "what"),
    [
        ({"colour": np.array([1.0])}, 'No sign is called "colour"'),
        ({"smell": np.array([1.0, 0.0])}, 'What was said of the sign "smell"'),
        ({"ants": np.array([0.9, 0.9])}, 'What was said of the sign "ants"'),
    ],
)
def test_a_witness_that_fits_no_sign_is_refused(
    witnesses: dict[str, np.ndarray], what: str
) -> None:
    with pytest.raises(NotUnderstood) as caught:
        weigh(witnesses)
    assert caught.value.what.startswith(what)
    assert caught.value.instead and caught.value.kept == "Nothing was changed."
