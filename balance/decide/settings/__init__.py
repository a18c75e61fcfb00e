"""What a setting should be: curves, trim, and every way to balance."""
