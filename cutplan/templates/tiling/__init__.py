"""Which sheet prints what: bands, packing, the search for the fewest sheets, and what registers them."""
