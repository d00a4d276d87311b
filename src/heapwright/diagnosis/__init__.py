"""What is wrong with a heap, from what nose, hand, eye, thermometer and model say: pure functions.

Knows the trade's causes, how often each shows each sign, and how signs are weighed together. Knows
nothing of storage, pages or of what is done about a cause.
"""

from heapwright.diagnosis.weigh import weigh

__all__ = ["weigh"]
