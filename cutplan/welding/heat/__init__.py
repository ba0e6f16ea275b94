"""Heat of the arc: how far it reaches, how fast it goes, and how long to wait."""
