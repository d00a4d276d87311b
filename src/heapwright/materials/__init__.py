"""What can go into a heap: the materials table, its words, its hazards and its packings."""
