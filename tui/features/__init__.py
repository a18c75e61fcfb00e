"""What the interface does, a subject a room: screen, view, words, style."""
