"""What each thing that can be done with a heap would lead to, and which is worth most: pure.

Knows options, their consequences by the heap model, and one number of worth. Knows no journal, no
page, and not the trade's rules that stand before it (`advice`).
"""
