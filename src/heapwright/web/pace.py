"""Counts how often something happened within a minute, and says how long to wait.

Knows keys and times, in memory only: starting the program anew forgets them. Use it from any number
of threads.
"""

from __future__ import annotations

import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable

_MINUTE_S = 60.0
_MOST_KEYS = 10_000


class Pace:
    """At most so many times a minute for each key.

    Parameters
    ----------
    most : int
    clock : callable, default the machine's monotonic clock
        Gives seconds.

    """

    def __init__(self, most: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._most = most
        self._clock = clock
        self._lock = threading.Lock()
        self._times: OrderedDict[str, deque[float]] = OrderedDict()

    def wait_s(self, key: str) -> float:
        """Return how long a key has to wait; 0.0 when it need not. Counts nothing. [s]"""
        with self._lock:
            self._forget_old(key)
            times = self._times.get(key)
            if times is None or len(times) < self._most:
                return 0.0
            return times[0] + _MINUTE_S - self._clock()

    def count(self, key: str) -> None:
        """Count one for a key."""
        with self._lock:
            self._forget_old(key)
            self._times.setdefault(key, deque(maxlen=self._most)).append(self._clock())
            self._times.move_to_end(key)
            while len(self._times) > _MOST_KEYS:
                self._times.popitem(last=False)

    def _forget_old(self, key: str) -> None:
        times = self._times.get(key)
        while times and times[0] <= self._clock() - _MINUTE_S:
            times.popleft()
