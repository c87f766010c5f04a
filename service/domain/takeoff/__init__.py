"""Take-offs: what a house asks for in all, and what to buy for it."""
