"""Which cautions speak, and why."""
