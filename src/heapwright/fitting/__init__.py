"""Bringing an ensemble of heap runs into agreement with the thermometer: pure functions."""
