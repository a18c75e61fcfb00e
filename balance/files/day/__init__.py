"""The day that is open: its sheet, its journal with undo, its lock, and writes that survive a crash."""
