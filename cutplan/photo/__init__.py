"""From photographs or scans of a cardboard template, with strips of marks round it, to an exact plate."""
