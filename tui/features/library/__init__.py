"""The library: parts of many days and cars, one part over its cars, days that join it and leave it."""
