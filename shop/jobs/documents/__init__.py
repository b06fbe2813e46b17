"""Papers and files of jobs, made from plain objects."""
