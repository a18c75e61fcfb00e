"""Parts in words, cells and charts."""
