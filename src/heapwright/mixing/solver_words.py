"""Keeps the solver's own remarks out of answers.

Knows that HiGHS, about once in some thousand programs, writes a line about its inner work to the
standard output of the process whatever it is told, which would spoil an answer in JSON. Knows
nothing of programs.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import threading
from collections.abc import Iterator

_STANDARD_OUTPUT, _STANDARD_ERROR = 1, 2
_one_at_a_time = threading.Lock()


@contextlib.contextmanager
def away_from_answers() -> Iterator[None]:
    """Send what compiled code writes to standard output to standard error meanwhile.

    Does nothing where the process has no such outputs.
    """
    with _one_at_a_time:
        try:
            kept = os.dup(_STANDARD_OUTPUT)
        except OSError:
            yield
            return
        with contextlib.suppress(OSError):
            os.dup2(_STANDARD_ERROR, _STANDARD_OUTPUT)
        try:
            yield
        finally:
            _empty_c_buffers()
            os.dup2(kept, _STANDARD_OUTPUT)
            os.close(kept)


def _empty_c_buffers() -> None:
    # Without this the line would wait in the C library and come out after all, later.
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).fflush(None)
