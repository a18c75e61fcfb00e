"""The plan of the day: what to run next, the order on the clock, and what is stated of it."""
