"""The database files and the log files: the only place that speaks SQL."""
