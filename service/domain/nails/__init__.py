"""Nails as things of steel, and the words that name them."""
