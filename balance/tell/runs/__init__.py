"""Configurations and readings in words, cells and charts."""
