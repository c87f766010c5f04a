"""The strength of one nail: yield modes, reference values, adjusted values."""
