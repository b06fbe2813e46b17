"""The owner's view of the shop's people."""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin as DjangoUserAdmin
from django.contrib.auth.forms import AdminUserCreationForm, UserChangeForm
from django.contrib.auth.models import Group
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from shop.accounts.models import Role, User


class NewUserForm(AdminUserCreationForm[User]):
    """Asks for a username, a role and the password twice."""

    class Meta:
        model = User
        fields = ("username", "name", "role")


class ExistingUserForm(UserChangeForm[User]):
    """Shows the password's hash method only, with a way to set a new one."""

    class Meta:
        model = User
        fields = ("username", "password", "name", "email", "role", "is_active")

    def clean(self) -> dict[str, Any]:
        """Leave the shop somebody who runs it: nobody else could give the role back."""
        given = super().clean() or self.cleaned_data
        stays = given.get("role") == Role.OWNER and given.get("is_active")
        if not stays and is_last_owner(self.instance):
            raise ValidationError("This is the only owner. Make somebody else an owner first.")
        return given


def is_last_owner(user: User) -> bool:
    """Whether he is an owner, as the database has it, and no other owner may sign in."""
    owners = User.objects.filter(role=Role.OWNER, is_active=True)
    return owners.filter(pk=user.pk).exists() and not owners.exclude(pk=user.pk).exists()


@admin.register(User)
class UserAdmin(DjangoUserAdmin[User]):
    """Django's own page for users, cut down to what our model has: a role in place of flags and groups."""

    add_form = NewUserForm
    form = ExistingUserForm
    list_display = ("username", "name", "role", "is_active", "last_login")
    list_filter = ("role", "is_active")
    search_fields = ("username", "name")
    ordering = ("username",)
    filter_horizontal = ()
    actions = None  # people are not deleted by the dozen
    readonly_fields = ("last_login", "joined_at")
    fieldsets = (
        (None, {"fields": ("username", "password")}),
        ("Person", {"fields": ("name", "email", "role", "is_active")}),
        ("Dates", {"fields": ("last_login", "joined_at")}),
    )
    add_fieldsets = (
        (None, {"classes": ("wide",), "fields": ("username", "name", "role", "password1", "password2")}),
    )

    def has_delete_permission(self, request: HttpRequest, obj: User | None = None) -> bool:
        """Owners, but nobody deletes the only one."""
        return super().has_delete_permission(request, obj) and not (obj is not None and is_last_owner(obj))


admin.site.unregister(Group)
