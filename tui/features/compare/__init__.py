"""Two configurations side by side."""
