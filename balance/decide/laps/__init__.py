"""What a change is worth on the customer's track: laps, seconds, exchange rates, packages, and what a log tells."""
