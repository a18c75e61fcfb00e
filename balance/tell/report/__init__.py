"""The customer's report: a page to read and print."""
