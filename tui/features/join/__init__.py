"""The page of joined days: one car over several days."""
