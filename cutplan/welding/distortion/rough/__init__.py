"""A rougher chain of the same joint, many times quicker than the whole one: what a search looks through orders with."""
