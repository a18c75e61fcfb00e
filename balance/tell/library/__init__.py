"""A library in words and tables: what a part did on each car, and what that allows to be said of the next."""
