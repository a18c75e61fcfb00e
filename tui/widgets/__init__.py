"""Pieces that draw ready-made text and numbers; they know nothing of cars."""
