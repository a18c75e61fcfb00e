"""Text to SI and back."""
