"""The application: its state, its pages, its keys, the day that is open."""
