"""What questions may say, and the domain objects they become."""
