"""What the day can show."""
