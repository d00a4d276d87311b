"""The one family of errors a person may meet, each written for the gardener at the bin.

Knows how a message is put together (what, why not, what would be right, what happened to your
data). Knows nothing of pages, terminals or status codes: each face turns the family into its own.
"""

from __future__ import annotations

from heapwright.wording import running


class HeapwrightError(Exception):
    """A mistake or a limit that can be told to a person in plain words.

    The parts are English; those made by `wording.worded` can be told in other languages, and so
    can the sentence put together from them.

    Parameters
    ----------
    what : str
        What is wrong, naming the value and its unit.
    why : str, default ""
        Why it cannot be so.
    instead : str, default ""
        What would be right, or what to do now.
    kept : str, default "Nothing was saved."
        What happened to the person's data.

    """

    #: A short name for programs (JSON answers); never shown alone.
    code = "problem"

    def __init__(
        self, what: str, *, why: str = "", instead: str = "", kept: str = "Nothing was saved."
    ) -> None:
        self.what = what
        self.why = why
        self.instead = instead
        self.kept = kept
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """Return the whole message as running text."""
        return running((self.what, self.why, self.instead, self.kept))

    def explanation(self) -> str:
        """Return the message without what happened to the data, where nothing was to be saved."""
        return running((self.what, self.why, self.instead))


class NotUnderstood(HeapwrightError):
    """A word, number or date could not be read as what it should be."""

    code = "not-understood"


class OutOfRange(HeapwrightError):
    """A value was read but cannot be true, or lies outside what is sensible."""

    code = "out-of-range"


class UnknownMaterial(HeapwrightError):
    """Nothing in the materials table answers to this name."""

    code = "unknown-material"


class NotForCompost(HeapwrightError):
    """The material must not go into a home heap, or only on a condition not yet met."""

    code = "not-for-compost"


class NoRecipe(HeapwrightError):
    """No whole-container recipe meets every wish; says which wish gives way."""

    code = "no-recipe"


class NotFound(HeapwrightError):
    """A bin, batch, lot, entry or file that was named does not exist."""

    code = "not-found"


class NotSignedIn(HeapwrightError):
    """Nobody is signed in, or the sign-in has ended; what was asked for needs one."""

    code = "not-signed-in"


class NotAllowed(HeapwrightError):
    """Somebody asks for what their role in this garden does not allow."""

    code = "not-allowed"


class TooOften(HeapwrightError):
    """Something was tried too often; says how long to wait."""

    code = "too-often"
    #: How long to wait. [s]
    seconds = 0


class AlreadyThere(HeapwrightError):
    """A name or id is taken by something different."""

    code = "already-there"


class UnreadableFile(HeapwrightError):
    """A file could not be read as what it claims to be (encoding, columns, format)."""

    code = "unreadable-file"


class StoreProblem(HeapwrightError):
    """The journal could not be opened or written (disk full, newer version, locked)."""

    code = "store-problem"


class WeatherProblem(HeapwrightError):
    """Weather data are missing, absurd or do not cover the time asked for."""

    code = "weather-problem"


class ServiceProblem(HeapwrightError):
    """The program itself could not start or reach something (port in use, no network)."""

    code = "service-problem"


class BalanceBroken(HeapwrightError):
    """A conservation check inside a model run failed: a defect of ours, never the person's.

    The message names the balance and the term; the numbers of that run are not used.
    """

    code = "balance-broken"
