"""A file that another computer adds to."""
