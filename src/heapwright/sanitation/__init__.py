"""How much of a heap got hot enough for long enough, by the published rules: pure functions.

Knows runs of the heap model and readings given to it. Promises no hygiene: the rules were made for
sewage sludge and for farms, and are benchmarks here.
"""

from heapwright.sanitation.rules import RuleShare, shares

__all__ = ["RuleShare", "shares"]
