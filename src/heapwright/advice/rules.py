"""The trade's rules for what to do with a heap today; the seam where the fitted model comes in.

Knows the order in which signs are judged: danger first, then smell and pests, then a heap that
cures or lies open, then what the hand finds, then heat and age. The rules themselves are in
`rules_heat`, `rules_senses` and `rules_age`. Knows nothing of storage or pages. `judged` also says
whether the rule that answered only guesses, so that a comparison of what could be done may take its
place; danger, great heat, smells, pests and curing are never left to it.

The rules honoured here are common practice without a source: leave a heap alone between 110 and
160 °F; below 100 °F it wants air and water; from 160 °F it wants air now; end with brown.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from heapwright.advice import remedies, rules_age, rules_heat, rules_senses
from heapwright.advice.signs import Signs, read_signs
from heapwright.advice.types import Advice, HeapView

Rule = Callable[[Signs], Advice | None]

#: Judged in this order; the first that answers is the day's job.
RULES: tuple[Rule, ...] = (
    rules_heat.danger,
    rules_heat.too_hot,
    rules_senses.ammonia,
    rules_senses.airless,
    rules_senses.soaked,
    rules_senses.pests,
    rules_age.curing,
    rules_senses.uncapped,
    rules_senses.dry_by_hand,
    rules_senses.ants,
    rules_heat.just_worked,
    rules_heat.no_fresh_reading,
    rules_heat.leave_alone,
    rules_heat.still_young,
    rules_heat.cooling,
    rules_age.spent,
    rules_heat.wants_air,
)

#: Rules that go by a line on the thermometer or the calendar: a comparison of what would come of
#: leaving, wetting, stirring, moving or adding knows this heap better.
LEFT_TO_COMPARISON: frozenset[Rule] = frozenset(
    {
        rules_senses.soaked,
        rules_heat.leave_alone,
        rules_heat.still_young,
        rules_heat.cooling,
        rules_heat.wants_air,
        rules_age.spent,
    }
)


@dataclass(frozen=True, slots=True)
class Judgement:
    """The day's job by the rules, and whether it may be left to a comparison.

    Attributes
    ----------
    advice : Advice
    is_open : bool
        Whether the rule that answered is one of `LEFT_TO_COMPARISON`.

    """

    advice: Advice
    is_open: bool


def advise(view: HeapView) -> Advice:
    """Return the one job for this heap today, by the first rule that applies.

    Parameters
    ----------
    view : HeapView
        What is known of the heap; nothing is assumed where a reading is missing.

    Returns
    -------
    Advice
        Never None: without any sign the answer is to take the temperature.

    """
    return judged(view).advice


def judged(view: HeapView) -> Judgement:
    """Return the one job for this heap today, and whether a comparison may take its place."""
    signs = read_signs(view)
    for rule in RULES:
        advice = rule(signs)
        if advice is not None:
            return Judgement(advice, rule in LEFT_TO_COMPARISON)
    return Judgement(remedies.take_its_temperature(signs), False)
