"""How fast a year's rotation is planned, and how close to its bound: 52 weeks, 6 bins, 12 heaps.

Run from the repository's root as `python benchmarks/bench_rotation.py [SECONDS]`. Prints a line for
each invented garden: its row of bins, what is proved, the gap, seconds of the wall and of the
processors, and what the plan by rule was worth; then how long 200 plays of a plan take. It judges
nothing. Run it on a machine that does nothing else; the processors' seconds tell when it did not.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from heapwright.season.play import expected_course, play
from heapwright.season.play_check import check
from heapwright.season.rotation_greedy import plan_by_rule
from heapwright.season.rotation_numbers import RotationNumbers
from heapwright.season.rotation_plan import RotationPlan
from heapwright.season.rotation_solve import plan_rotation
from heapwright.season.rotation_types import RotationProblem
from heapwright.season.rotation_weights import usual_weights
from tests.season.rotation_cases import random_year

SEEDS = range(1, 9)
PLAYS = 200


def in_order(problem: RotationProblem) -> RotationProblem:
    """Return the year with the larger bins first; heaps that stand go where their bins went."""
    row = sorted(problem.bins, key=lambda one: -one.volume_m3)
    return replace(problem, bins=tuple(row))


def as_the_program_plans(problem: RotationProblem) -> RotationProblem:
    """Return the year with stages as long after stirring in place as after moving.

    The program's own plans are so; a garden where stirring takes longer has rows of its own below.
    """
    return replace(problem, form=replace(problem.form, stay_extra_weeks=(0, 0, 0)))


ROWS = {
    "alike": lambda seed: as_the_program_plans(random_year(seed, volumes=1)),
    "two sizes, large first": lambda seed: as_the_program_plans(
        in_order(random_year(seed, volumes=2))
    ),
    "two sizes, mixed": lambda seed: as_the_program_plans(random_year(seed, volumes=2)),
    "stirring takes longer": lambda seed: in_order(random_year(seed, volumes=2)),
}


def show(name: str, seed: int, problem: RotationProblem, seconds: float) -> RotationPlan:
    """Plan one year and print its line."""
    processors = time.process_time()
    plan = plan_rotation(problem, seconds=seconds)
    processors = time.process_time() - processors
    rule = plan_by_rule(RotationNumbers(problem), usual_weights()).worth
    broken = len(check(plan, problem))
    print(
        f"{name:24} {seed:4d}  {plan.proof.value:10} {100 * plan.gap:6.2f} % "
        f"{plan.seconds:6.1f} s {processors:6.1f} s  {plan.worth:8.1f} {rule:8.1f}  {broken}",
        flush=True,
    )
    return plan


def main() -> None:
    """Print the table."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 10.0
    print(f"{'row of bins':24} seed  proof         gap    wall  processors  worth  by rule  broken")
    for name, garden in ROWS.items():
        for seed in SEEDS:
            problem = garden(seed)
            plan = show(name, seed, problem, seconds)
    course, began = expected_course(problem), time.perf_counter()
    for _ in range(PLAYS):
        play(problem, plan, course)
    print(f"{PLAYS} plays of the last plan: {time.perf_counter() - began:.2f} s")


if __name__ == "__main__":
    main()
