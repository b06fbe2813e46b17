"""Role × address × method, generated from the URL configuration; denied by default."""

from __future__ import annotations

import pytest
from django.db import transaction
from django.http.response import HttpResponseBase

from tests.site.access.conftest import World, routes
from tests.site.access.rules import OWN, OWNER, RULES

pytestmark = pytest.mark.django_db
METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")


def rule_of(route: str) -> dict[str, str]:
    """What the table says of an address; below `admin/` everything is the owner's."""
    if route in RULES or not route.startswith("admin/"):
        return RULES[route]
    return {"GET": OWNER, "POST": OWNER}


def turned_away(answer: HttpResponseBase) -> bool:
    """Whether somebody was refused for who he is: by status, or by being sent to sign in."""
    if answer.status_code == 302:
        return answer.headers["Location"].startswith(("/accounts/login/", "/admin/login/"))
    return answer.status_code in (401, 403)


def fault(world: World, who: str, route: str, method: str, rule: dict[str, str]) -> str:
    """Ask, undo whatever it did, and say what was wrong with the answer, if anything."""
    kind = "application/json" if route.startswith("api/") else "application/x-www-form-urlencoded"
    body = "{}" if kind == "application/json" else ""
    with transaction.atomic():
        browser = world.browser(who)
        answer = browser.generic(method, world.address(route), body, kind, headers={"if-match": "*"})
        transaction.set_rollback(True)
    told = f"{who} {method} {route}: {answer.status_code}"
    if answer.status_code >= 500:
        return told
    if method not in rule:
        return told if answer.status_code < 300 else ""
    if who in rule[method]:
        wrong = turned_away(answer) or answer.status_code in (404, 405)
        return f"{told}, though allowed" if wrong else ""
    return "" if turned_away(answer) else f"{told}, though denied"


def test_every_address_has_a_rule() -> None:
    found = {route for route in routes() if not route.startswith("admin/")}
    ruled = {route for route in RULES if not route.startswith("admin/")} | set(OWN)
    assert sorted(found - ruled) == [], "say in tests/site/access/rules.py who may do what there"
    assert sorted(ruled - found) == [], "there is no such address any more"


@pytest.mark.parametrize("who", ["o", "e", "b", "-"])
def test_roles_by_address_and_method(world: World, who: str) -> None:
    own = [route for route in RULES if not route.startswith("admin/")]
    faults = [
        said
        for route in own
        for method in METHODS
        if (said := fault(world, who, route, method, RULES[route]))
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("who", ["e", "b", "-"])
def test_admin_is_the_owners(world: World, who: str) -> None:
    below = [route for route in routes() if route.startswith("admin/")]
    assert len(below) > 40
    faults = []
    for route in below:
        at = "/" + route.replace("<path:object_id>", "1").replace("<int:content_type_id>", "1")
        for method in ("GET", "POST"):
            if who in rule_of(route).get(method, "") or route == "admin/logout/":
                continue
            answer = world.browser(who).generic(method, at)
            if not turned_away(answer):
                faults.append(f"{method} {at}: {answer.status_code}")
    assert faults == []
