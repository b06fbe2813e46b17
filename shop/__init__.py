"""The site and what really happened: settings, people, pages' frame, jobs.

It may import quoting and catalog; nothing imports it.
"""
