"""The customer's track: its drawing, and words of a lap."""
