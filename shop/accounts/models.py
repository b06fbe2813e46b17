"""Who may sign in and with what; failed attempts; answers to repeated requests, and counts of requests."""

from datetime import datetime
from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.db import models
from django.utils import timezone


class Role(models.TextChoices):
    """What a person does in the shop, and so what he may see; default deny, the least by default."""

    OWNER = "owner", "Owner: everything"
    ESTIMATOR = "estimator", "Estimator: quotes, no pay rates"
    BENCH = "bench", "Bench: own time, draws and mishaps, no money"


class UserManager(BaseUserManager["User"]):
    """Makes users; the two names are those that Django's commands and tests call."""

    def create_user(self, username: str, password: str | None = None, **fields: Any) -> "User":
        """Save a user; without a password nobody can sign in as him until one is set."""
        if not username:
            raise ValueError("a user needs a username")
        user = self.model(username=self.model.normalize_username(username), **fields)
        user.email = self.normalize_email(user.email)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, username: str, password: str | None = None, **fields: Any) -> "User":
        """Save an owner."""
        return self.create_user(username, password, **{**fields, "role": Role.OWNER})


class User(AbstractBaseUser):
    """One person of the shop. His role is the one place that says what he may do."""

    username = models.CharField(
        max_length=150,
        unique=True,
        validators=[UnicodeUsernameValidator()],
        error_messages={"unique": "Somebody already has that username."},
    )
    name = models.CharField(max_length=120, blank=True, help_text="As it stands on papers of the shop.")
    email = models.EmailField(blank=True)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.BENCH)
    is_active = models.BooleanField(default=True, help_text="Untick instead of deleting: his hours stay.")
    joined_at = models.DateTimeField(default=timezone.now, editable=False)

    objects: ClassVar[UserManager] = UserManager()

    USERNAME_FIELD = "username"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        ordering = ("username",)
        constraints = (
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="user_role_is_known"),
        )

    @property
    def is_owner(self) -> bool:
        """Whether he runs the shop."""
        return self.role == Role.OWNER

    @property
    def is_staff(self) -> bool:
        """Whether he may enter ``/admin/``: the owner alone."""
        return self.is_active and self.is_owner

    @property
    def is_superuser(self) -> bool:
        """What Django calls somebody who may do everything."""
        return self.is_staff

    def get_full_name(self) -> str:
        """Return the name for papers, the username where there is none."""
        return self.name or self.username

    def get_short_name(self) -> str:
        """Return the first word of the name."""
        return self.get_full_name().split()[0]

    def has_perm(self, perm: str, obj: object = None) -> bool:
        """Answer for ``/admin/``, where the owner may do everything and nobody else anything."""
        return self.is_staff

    def has_module_perms(self, app_label: str) -> bool:
        """Answer for ``/admin/``, as :meth:`has_perm`."""
        return self.is_staff


class FailedSignIn(models.Model):
    """One failed attempt, kept only as long as it counts towards the limit."""

    username = models.CharField(max_length=150)
    address = models.CharField(max_length=45)
    at = models.DateTimeField()

    class Meta:
        indexes = (
            models.Index(fields=("username", "at"), name="failed_by_username"),
            models.Index(fields=("address", "at"), name="failed_by_address"),
        )

    def __str__(self) -> str:
        return f"{self.username} from {self.address}"


class Scope(models.TextChoices):
    """What a token may do, within its person's role."""

    READ = "read", "Read only"
    WRITE = "write", "Read and change"


class AccessToken(models.Model):
    """What a program signs in with in a person's name. The secret itself is not kept."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=80, help_text="Which program uses it.")
    scope = models.CharField(max_length=5, choices=Scope.choices, default=Scope.READ)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-made_at", "-pk")
        constraints = (
            models.CheckConstraint(condition=models.Q(scope__in=Scope.values), name="token_scope_is_known"),
        )

    def __str__(self) -> str:
        return f"{self.name} of {self.user.username}"

    def holds(self, now: datetime) -> bool:
        """Return whether it is neither revoked nor past its time."""
        return self.revoked_at is None and now < self.expires_at


class StoredAnswer(models.Model):
    """The answer to a request sent with an `Idempotency-Key`; without a status while that still runs."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=255)
    request_sha256 = models.CharField(max_length=64)
    begun_at = models.DateTimeField()
    status = models.PositiveSmallIntegerField(null=True)
    headers = models.JSONField(default=dict)
    body = models.BinaryField(default=b"")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("user", "key"), name="one_answer_a_key"),)
        indexes = (models.Index(fields=("begun_at",), name="answers_by_age"),)

    def __str__(self) -> str:
        return f"answer {self.status} to {self.user.username}"


class RequestCount(models.Model):
    """How often a person has asked the API in the minute he asked last; one row a limit, see `shop.pace`."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    pace = models.CharField(max_length=12)
    minute = models.BigIntegerField(help_text="Of the clock, since 1970.")
    count = models.PositiveIntegerField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=("user", "pace"), name="one_count_a_limit"),)

    def __str__(self) -> str:
        return f"{self.count} {self.pace} by {self.user.username}"
