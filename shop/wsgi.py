"""The door for a web server such as gunicorn: production unless the environment says otherwise."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

if not settings.configured:  # under runserver the settings are loaded already and stay as they are
    os.environ.setdefault("SHOP_MODE", "production")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

application = get_wsgi_application()
