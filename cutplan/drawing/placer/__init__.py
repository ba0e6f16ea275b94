"""The one placer of texts: what a drawing writes finds room clear of its lines, of its marks and of other texts."""
