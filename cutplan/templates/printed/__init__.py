"""What comes out of a printer or a foil cutter: pages, the map sheet, and the paper coupon with its correction."""
