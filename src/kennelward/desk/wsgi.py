"""The desk as a WSGI application, for any server of that kind."""

import os

from django.core.wsgi import get_wsgi_application

from kennelward.desk.folder import SETTINGS

os.environ.setdefault("DJANGO_SETTINGS_MODULE", SETTINGS)
application = get_wsgi_application()
