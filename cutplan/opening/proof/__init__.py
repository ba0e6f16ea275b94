"""Proof by doing: the steps carried out on the model."""
