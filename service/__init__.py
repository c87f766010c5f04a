"""Nails for wood-framed walls: which, how many, where, and when the tables stop."""

API_VERSION = "2.0.0"
