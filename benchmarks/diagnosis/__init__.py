"""Hidden faults: heaps made with one thing wrong, and whether the diagnosis finds it."""
