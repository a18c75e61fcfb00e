"""What each part did: increments, ratios, drift, interactions."""
