"""JSON to domain objects and back."""
