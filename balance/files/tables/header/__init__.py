"""What the columns of a foreign table are."""
