"""A foreign file as rows of cells, and what its numbers and marks say."""
