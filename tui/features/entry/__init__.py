"""A run while it is entered or corrected."""
