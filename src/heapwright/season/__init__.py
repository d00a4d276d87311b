"""The year as a whole: what past heaps say together, and what is to come. Pure."""
