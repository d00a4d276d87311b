"""Floor 5: the pages for the phone at the bin, and the programs' way in at /api.

Knows HTML, HTTP and the reader's units. Knows nothing of physics, storage or advice: every page
parses what was asked, calls one workshop function and renders its answer.
"""
