"""Scatter and drift in words."""
