"""What a drawing leaves open to doubt: borders, letters, shapes that nobody can have meant."""
