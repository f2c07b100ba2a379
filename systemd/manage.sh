#!/bin/sh
# One command of the site with the site's own settings, as root: manage.sh set_up_lake --lake ...
exec systemd-run --quiet --pty --wait --collect --uid=earstone --gid=earstone \
  --working-directory=/opt/earstone \
  --property=EnvironmentFile=/etc/earstone/earstone.env \
  --property=LoadCredential=secret_key:/etc/earstone/secret_key \
  sh -c 'EARSTONE_SECRET_KEY_FILE="$CREDENTIALS_DIRECTORY/secret_key" \
    exec /opt/earstone/.venv/bin/python manage.py "$@"' manage "$@"
