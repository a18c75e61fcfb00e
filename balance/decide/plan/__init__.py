"""The plan of the day: what is believed of runs not yet made, what the next one is worth, and in which order."""
