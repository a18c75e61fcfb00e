"""The files of a car and of a day: made, corrected, and settled with others."""
