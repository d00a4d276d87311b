"""A linear program in whole numbers, written by sums of its variables and solved by HiGHS.

Knows sums, rows and SciPy's form of them. Knows nothing of heaps. SciPy is imported when a program
is solved, not with this file.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from heapwright.mixing.solver_words import away_from_answers


class Sum:
    """A sum of variables times whole numbers, and a number."""

    __slots__ = ("number", "terms")

    def __init__(self, terms: dict[int, int], number: int = 0) -> None:
        self.terms, self.number = terms, number

    def __add__(self, other: Sum | int) -> Sum:
        if isinstance(other, int):
            return Sum(self.terms, self.number + other)
        terms = dict(self.terms)
        for variable, times in other.terms.items():
            terms[variable] = terms.get(variable, 0) + times
        return Sum(terms, self.number + other.number)

    __radd__ = __add__

    def __mul__(self, times: int) -> Sum:
        return Sum({v: n * times for v, n in self.terms.items()}, self.number * times)

    __rmul__ = __mul__

    def __sub__(self, other: Sum | int) -> Sum:
        return self + other * -1


NOTHING = Sum({})


def total(sums: Iterable[Sum | int]) -> Sum:
    """Return the sum of sums."""
    terms: dict[int, int] = {}
    number = 0
    for one in sums:
        if isinstance(one, int):
            number += one
            continue
        number += one.number
        for variable, times in one.terms.items():
            terms[variable] = terms.get(variable, 0) + times
    return Sum(terms, number)


@dataclass(frozen=True, slots=True)
class Found:
    """The answer: values of the variables if any were found, and what no answer exceeds."""

    values: tuple[int, ...] | None
    bound: float

    def value(self, one: Sum) -> int:
        """Return what a sum comes to."""
        if self.values is None:
            return one.number
        return one.number + sum(n * self.values[v] for v, n in one.terms.items())


class Rows:
    """A program: variables in whole numbers, and sums that must not be below nothing."""

    def __init__(self) -> None:
        self.low: list[int] = []
        self.high: list[int] = []
        self.rows: list[Sum] = []

    def variable(self, low: int, high: int) -> Sum:
        """Return a new variable between two numbers."""
        self.low.append(low)
        self.high.append(high)
        return Sum({len(self.low) - 1: 1})

    def at_most(self, left: Sum | int, right: Sum | int) -> None:
        """Hold that left is not above right."""
        row = total([right, left * -1])
        if row.terms:
            self.rows.append(row)

    def maximize(self, worth: Sum, seconds: float, gap: float) -> Found:
        """Return the best answer found in the time, or within the gap of the bound."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        number = len(self.low)
        if number == 0:
            return Found((), float(worth.number))
        cost = np.zeros(number)
        for variable, times in worth.terms.items():
            cost[variable] = -times
        counts = [len(row.terms) for row in self.rows]
        matrix = csr_array(
            (
                np.array([n for row in self.rows for n in row.terms.values()], dtype=float),
                np.array([v for row in self.rows for v in row.terms], dtype=np.int32),
                np.concatenate([[0], np.cumsum(counts)]).astype(np.int32),
            ),
            shape=(len(self.rows), number),
        )
        least = np.array([-row.number for row in self.rows], dtype=float)
        with away_from_answers():
            answer: Any = milp(
                cost,
                integrality=np.ones(number),
                bounds=Bounds(np.array(self.low, float), np.array(self.high, float)),
                constraints=LinearConstraint(matrix, least, np.inf),
                options={"time_limit": seconds, "mip_rel_gap": gap},
            )
        values = None if answer.x is None else tuple(round(float(x)) for x in answer.x)
        bound = getattr(answer, "mip_dual_bound", None)
        least_cost = float("-inf") if bound is None else float(bound)
        if not np.isfinite(least_cost):
            return Found(values, float("inf"))
        return Found(values, worth.number - least_cost)
