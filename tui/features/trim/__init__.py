"""What a setting should be."""
