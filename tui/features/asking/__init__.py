"""Questions that any screen may ask: a short list, a line of text, a speed."""
