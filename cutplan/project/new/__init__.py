"""Begin a job: its file with comments, filled in from a drawing, a survey, a study or a tracing."""
