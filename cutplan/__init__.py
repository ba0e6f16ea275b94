"""cutplan: from a flat pattern to templates, cut path, opening plan, weld plan and proof.

Importing this package loads nothing heavy; each step loads what it needs when it runs.
"""

__version__ = "0.1.0"

__all__ = ["__version__"]
