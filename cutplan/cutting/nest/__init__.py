"""Several parts on one sheet: by true shape, small parts in big holes, one path over all, the remnant kept."""
