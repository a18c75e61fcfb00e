"""Our own files: what each may hold, how it is read, and how it is written."""
