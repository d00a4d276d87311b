"""The heap: a short cylinder of cells with heat, water, air and decay, driven by hourly weather."""
