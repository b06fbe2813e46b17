"""The door for a web server such as gunicorn: production unless the environment says otherwise."""

import gc
import os
from importlib import import_module

from django.conf import settings
from django.core.wsgi import get_wsgi_application

if not settings.configured:  # under runserver the settings are loaded already and stay as they are
    os.environ.setdefault("SHOP_MODE", "production")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

application = get_wsgi_application()

# Every page's code is loaded now and left out of later searches for garbage: going through it all takes a
# tenth of a second, which somebody's answer would wait for.
for code in (settings.ROOT_URLCONF, "quoting.documents.printer"):
    import_module(code)
gc.collect()
gc.freeze()
