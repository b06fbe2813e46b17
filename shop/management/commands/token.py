"""`manage.py token`: make a token for a person, or end all of his."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from shop.accounts.keys import make_token
from shop.accounts.models import Scope, User


class Command(BaseCommand):
    help = "Make an access token for a person and print its secret, which is not kept; or revoke all of his."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("username")
        parser.add_argument("--name", default="command line", help="the program that will use it")
        parser.add_argument("--scope", choices=Scope.values, default=Scope.READ)
        parser.add_argument("--days", type=int, default=90, help="days it holds")
        parser.add_argument("--revoke-all", action="store_true", help="end every token of this person")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the secret alone on standard output, so that a script can take it."""
        person = User.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError(f"username: nobody is called {options['username']!r}")
        now = timezone.now()
        if options["revoke_all"]:
            ended = person.tokens.filter(revoked_at=None).update(revoked_at=now)
            self.stdout.write(f"{ended} revoked")
            return
        try:
            asked = {name: options[name] for name in ("name", "scope", "days")}
            _, secret = make_token(person, **asked, now=now)
        except ValidationError as fault:
            lines = (f"{field}: {' '.join(said)}" for field, said in fault.message_dict.items())
            raise CommandError("\n".join(lines)) from fault
        self.stdout.write(secret)
