"""Figures that are possible but unlikely."""
