"""Tables for opening a skin by hand: tools, their bodies, drills and corners."""
