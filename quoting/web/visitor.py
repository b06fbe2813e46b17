"""Where a request comes from, as far as it tells one guesser from another."""

from __future__ import annotations

import re
from ipaddress import IPv6Address, IPv6Network, ip_address

from django.conf import settings
from django.http import HttpRequest

LONGEST = 45
_WITH_PORT = re.compile(r"([0-9.]+):[0-9]+|\[([^\]]*)\](?::[0-9]+)?")
_OF_ONE_LINE = 64
"""Leading bits of an IPv6 address that one line has to itself (RFC 6177; RFC 4291, section 2.5.4)."""


def visitor(request: HttpRequest) -> str:
    """Where a request comes from: behind our proxy, the last address listed, which it wrote.

    Those before it are the visitor's own claim.
    """
    forwarded = str(request.META.get("HTTP_X_FORWARDED_FOR", "")).rsplit(",", maxsplit=1)[-1].strip()
    direct = str(request.META.get("REMOTE_ADDR", ""))
    return line_of(forwarded if settings.BEHIND_PROXY and forwarded else direct)


def line_of(address: str) -> str:
    """The address without a port; of IPv6 the network of the line, whose every address is one visitor's.

    >>> line_of("198.51.100.7:40123"), line_of("2001:db8:1:2:a:b:c:d"), line_of("::ffff:192.0.2.1")
    ('198.51.100.7', '2001:db8:1:2::/64', '192.0.2.1')
    """
    found = _WITH_PORT.fullmatch(address)
    bare = (found[1] or found[2]) if found else address
    try:
        known = ip_address(bare)
    except ValueError:
        return bare[:LONGEST]
    if not isinstance(known, IPv6Address):
        return str(known)
    mapped = known.ipv4_mapped
    return str(mapped or IPv6Network((int(known), _OF_ONE_LINE), strict=False))
