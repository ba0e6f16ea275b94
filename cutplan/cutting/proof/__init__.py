"""Every path proved before it is written."""
