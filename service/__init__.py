"""Nails for wood-framed walls: which, how many, where, and when the tables stop."""

API_VERSION = "3.2.0"
