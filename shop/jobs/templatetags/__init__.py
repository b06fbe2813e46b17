"""Filters of the pages of jobs."""
