"""The weld on the screen: orders played, displaced shapes and colour maps."""
