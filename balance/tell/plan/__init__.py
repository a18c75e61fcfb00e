"""The plan of the day in words, tables, records and on a sheet to print."""
