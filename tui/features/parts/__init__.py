"""What each part did."""
