"""A file that somebody else adds to, looked at again and again."""
