"""The contract and its examples, shipped with the service."""
