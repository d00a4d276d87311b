"""What to do with a heap today and why, from what is known of it: pure rules over plain data."""
