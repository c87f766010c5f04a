"""Panels laid over a framed wall, and their nail lines."""
