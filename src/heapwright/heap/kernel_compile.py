"""How the heap kernel's functions are compiled, in one place.

Knows the compiler's settings only. `inner` functions are called by compiled code (tests reach their
plain form through `.py_func`) and copied into it, so that the sizes of the usual grid reach every
loop as constants: that alone halves the time of a run. `inserted` ones are copied before their
types are known; the `outermost` ones are called from Python and kept in the cache on disk.
"""

from __future__ import annotations

from typing import Any

from numba import njit

# Its type hints would lose those of the function below it.
_compile: Any = njit

# Division by zero must not raise (the check would stop loops from becoming vector code), and
# `fastmath` may not be relied on for NaN: inputs are checked before a run, results after it.
_SETTINGS = {"fastmath": True, "nogil": True, "error_model": "numpy"}

inner = _compile(forceinline=True, **_SETTINGS)
inserted = _compile(inline="always", **_SETTINGS)
outermost = _compile(cache=True, **_SETTINGS)
