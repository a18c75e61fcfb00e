"""Settings, trims and ways in words, cells and charts."""
