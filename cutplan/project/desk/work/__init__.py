"""Long work beside the page: plans and documents in a process of their own, and what is shown of them."""
