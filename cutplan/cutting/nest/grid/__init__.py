"""Laying on a grid: every place of a shape in every turn is weighed at once."""
