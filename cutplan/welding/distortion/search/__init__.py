"""Orders, what is judged about them, and the search for a better one."""
