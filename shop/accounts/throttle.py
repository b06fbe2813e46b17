"""Slows down guessing of passwords: so many failures, then a wait.

Kept in the database, since a count in memory would be one for each worker. Failures are counted for the pair
of username and address, so that a stranger cannot lock the owner out, and for the address alone, against one
password tried on many names.
"""

from datetime import datetime, timedelta

from shop.accounts.models import FailedSignIn

WINDOW = timedelta(minutes=15)
AHEAD = timedelta(minutes=1)
MOST_FOR_USERNAME = 5
MOST_FOR_ADDRESS = 30


def is_blocked(username: str, address: str, now: datetime) -> bool:
    """Return whether another attempt must wait.

    Clocks of two machines differ a little; what lies further ahead was noted before a clock was set back.
    """
    recent = FailedSignIn.objects.filter(address=address, at__gt=now - WINDOW, at__lt=now + AHEAD)
    if recent.filter(username=_key(username)).count() >= MOST_FOR_USERNAME:
        return True
    return recent.count() >= MOST_FOR_ADDRESS


def record_failure(username: str, address: str, now: datetime) -> None:
    """Remember a failed attempt and forget those that no longer count."""
    FailedSignIn.objects.exclude(at__gt=now - WINDOW, at__lt=now + AHEAD).delete()
    FailedSignIn.objects.create(username=_key(username), address=address, at=now)


def forget_failures(username: str, address: str) -> None:
    """Start counting anew after a success."""
    FailedSignIn.objects.filter(username=_key(username), address=address).delete()


def _key(username: str) -> str:
    return username.casefold()[:150]
