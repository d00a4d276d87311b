"""Makes guessing slow: after some wrong tries each further one has to wait longer.

Knows names and addresses that tried, in memory only: starting the program anew forgets them, which
only whoever sits at the machine can do. A try counts before it is looked at, so that many at once
gain nothing.
"""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from heapwright.people.limits import limit, whole

_SECONDS_PER_HOUR = 3600.0


@dataclass(slots=True)
class _Tries:
    count: int = 0
    last: float = 0.0
    free_at: float = 0.0


class Waits:
    """Wrong tries by key (a name, an address). Use it from any number of threads.

    Parameters
    ----------
    clock : callable, default the machine's monotonic clock
        Gives seconds.

    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._tries: OrderedDict[str, _Tries] = OrderedDict()

    def begin(self, keys: Sequence[str]) -> float:
        """Count a try under every key, or return how many seconds it has to wait; 0.0 if none.

        A try that has to wait is not counted: waiting is enough.
        """
        with self._lock:
            now = self._clock()
            self._forget(now)
            waiting = max(
                (self._tries[k].free_at - now for k in keys if k in self._tries), default=0
            )
            if waiting > 0:
                return waiting
            for key in keys:
                self._count(key, now)
            return 0.0

    def succeeded(self, keys: Sequence[str]) -> None:
        """Forget the tries of these keys: the passphrase was right."""
        with self._lock:
            for key in keys:
                self._tries.pop(key, None)

    def _count(self, key: str, now: float) -> None:
        tries = self._tries.setdefault(key, _Tries())
        self._tries.move_to_end(key)
        tries.count += 1
        tries.last = now
        beyond = tries.count - whole("free_tries")
        if beyond >= 0:
            tries.free_at = now + wait_after(beyond)

    def _forget(self, now: float) -> None:
        kept = limit("forget_hours") * _SECONDS_PER_HOUR
        while self._tries:
            key, oldest = next(iter(self._tries.items()))
            if now - oldest.last <= kept and len(self._tries) <= whole("most_followed"):
                return
            del self._tries[key]


def wait_after(beyond: int) -> float:
    """Return the wait after a wrong try, counted from the last free one (0). [s]"""
    longest = limit("longest_wait_s")
    doubled = limit("first_wait_s") * 2.0 ** min(beyond, 30)  # far beyond the longest already
    return min(longest, doubled)
