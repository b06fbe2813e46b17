"""Who may sign in, and failed attempts at it."""

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
