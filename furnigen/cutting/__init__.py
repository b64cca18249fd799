"""What to cut from which sheets and bars: the problem as values, the search, its bounds and an independent
check."""
