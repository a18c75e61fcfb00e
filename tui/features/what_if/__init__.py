"""What the car would be like if."""
