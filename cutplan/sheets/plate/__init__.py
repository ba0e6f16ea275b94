"""The plate on paper: net shape, holes, the torch's path, its templates and the parts list."""
