"""The linkage solved in space, and its figures."""
