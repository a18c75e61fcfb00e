"""Invented cars and their days, packaged so that checkout and wheel find them alike."""
