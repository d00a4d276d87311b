"""What following Today is worth: hidden heaps kept by four gardeners, compared pair by pair.

Knows simulated worlds only; nothing here is a measurement of real heaps.
"""
