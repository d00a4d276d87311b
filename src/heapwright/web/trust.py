"""What a phone is told of the program's own authority: its certificate and how to know it.

Knows the certificate's forms and its fingerprint. It is made by `tls`.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

_DIGITS_IN_A_GROUP = 4


@dataclass(frozen=True, slots=True)
class Trust:
    """The authority as it is handed out; its key is never here.

    Attributes
    ----------
    certificate : bytes
        In DER, as phones take it.
    https_port : int
        Where the pages answer by https.

    """

    certificate: bytes
    https_port: int

    @property
    def fingerprint(self) -> str:
        """The certificate's SHA-256 in groups of four, to be compared by eye."""
        digits = hashlib.sha256(self.certificate).hexdigest().upper()
        return " ".join(
            digits[start : start + _DIGITS_IN_A_GROUP]
            for start in range(0, len(digits), _DIGITS_IN_A_GROUP)
        )
