"""Forecasts of hidden heaps: does the band hold the truth, and is it worth more than a guess?"""
