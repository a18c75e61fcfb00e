"""A library of many days and cars: its files, who is who in them, and the index that makes it quick."""
