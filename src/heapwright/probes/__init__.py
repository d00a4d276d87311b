"""Thermometers that report by themselves: what a report means, pure and without a clock."""
