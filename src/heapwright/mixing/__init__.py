"""Mixing by mass balance: what a mixture is, which whole containers to take, in what layers."""
