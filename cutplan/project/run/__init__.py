"""One run of a job: which documents, from which files, whether they stand already, and making them anew."""
