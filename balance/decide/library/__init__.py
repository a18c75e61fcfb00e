"""Many days and many cars: what a part usually does, and how far the next car may differ."""
