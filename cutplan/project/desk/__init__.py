"""One job on the desk: its file edited in place with undo, and the answers that are cheap enough to give at once."""
