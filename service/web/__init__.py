"""HTTP in and out."""
