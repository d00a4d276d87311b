"""Floor 2, judgement: the heap model against heaps that people have measured and logged."""
