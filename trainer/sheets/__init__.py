"""Handouts: what leaves the program on paper or as text."""
