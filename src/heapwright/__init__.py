"""Hot compost in bins at home: what to put in, what to do today, how much, and why.

This file knows the version and nothing else: importing it costs nothing and pulls in no library.
"""

__version__ = "0.1.0"
