"""Tables of others into a session of ours: what was understood, what must be asked, nothing guessed."""
