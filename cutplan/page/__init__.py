"""The local page: the use cases of ``project`` in a browser on this machine; it holds no rule of the trade."""
