"""Filters of the pages under Prices."""
