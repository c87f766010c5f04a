"""Inspections: what was found in a joint against what it requires, and what mends it."""
