"""What each part did, and one configuration against another."""
