"""The customer's brief: a page to read and print, and its pictures."""
