"""What answers hold, and how they are written."""
