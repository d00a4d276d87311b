"""What may be sent to the pages at all: how much, and by which methods without changing anything.

Knows two constants, so that the door, the forms and the sign-in agree on them.
"""

from __future__ import annotations

LARGEST_BODY_BYTES = 16 * 1024 * 1024  # ours: years of thermometer log, or one photo
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
