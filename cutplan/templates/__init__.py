"""True-scale paper: templates, tiles and their proof."""
