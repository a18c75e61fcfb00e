"""Days of one car joined, in words, tables and records."""
