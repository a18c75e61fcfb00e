"""What the application is to its screens: its state, its actions, its questions, the day that is open."""
