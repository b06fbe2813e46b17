"""The owner's view of the shop's people."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin as DjangoUserAdmin
from django.contrib.auth.forms import AdminUserCreationForm, UserChangeForm
from django.contrib.auth.models import Group

from shop.accounts.models import User


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
    readonly_fields = ("last_login", "joined_at")
    fieldsets = (
        (None, {"fields": ("username", "password")}),
        ("Person", {"fields": ("name", "email", "role", "is_active")}),
        ("Dates", {"fields": ("last_login", "joined_at")}),
    )
    add_fieldsets = (
        (None, {"classes": ("wide",), "fields": ("username", "name", "role", "password1", "password2")}),
    )


admin.site.unregister(Group)
