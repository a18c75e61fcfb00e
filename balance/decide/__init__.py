"""Verdicts and decisions, each with how sure it is."""
