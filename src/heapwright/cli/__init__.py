"""Floor 5: the command line for whoever sits at a keyboard, and for scripts.

Knows terminals, options and exit codes. Knows nothing of physics, storage or advice: every command
reads what was typed, calls one workshop function and tells its answer. Importing this costs
nothing; each command imports what it needs when it runs.
"""


def main() -> None:
    """Run the command line with the arguments of this process, and leave with its exit code."""
    import sys
    import warnings

    from heapwright.cli.app import app

    if not sys.warnoptions:
        # A library's remark about its own code is nothing a gardener can act on.
        warnings.simplefilter("ignore")
    app()
