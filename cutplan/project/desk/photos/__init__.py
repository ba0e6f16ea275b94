"""From pictures of a cardboard template to a job on the desk."""
