"""What the house needs around the program: set-up, lock file, tidiness. Standard library only.

Nothing here is installed with Heapwright, and nothing here knows about compost. It runs before any
package is there, so it imports none.
"""

from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


class Stop(Exception):
    """Work that cannot go on, said in words for the person who typed the command."""
