"""What a framer and an engineer know; pure Python."""
