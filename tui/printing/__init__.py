"""Plain text and pages, for the standard output, the clipboard and files."""
