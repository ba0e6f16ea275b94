"""The brace chosen by computation, and what it leaves of the skin's stiffness."""
