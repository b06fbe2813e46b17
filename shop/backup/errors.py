"""What stops a backup or a restore, in words for the person at the terminal."""


class BackupRefused(Exception):
    """A backup cannot be made, read or restored as things are; nothing was changed."""
