#!/bin/sh
# Runs once, when the database's volume is new: gives the site a role of its own that owns its
# database and nothing else. The superuser is left without a password, so that it signs in from
# inside this container alone.
set -eu

if [ -f /run/secrets/db_password ]; then
  EARSTONE_DB_PASSWORD="$(cat /run/secrets/db_password)"
fi
export EARSTONE_DB_PASSWORD="${EARSTONE_DB_PASSWORD:-$POSTGRES_PASSWORD}"

psql --no-psqlrc --set ON_ERROR_STOP=1 --username "$POSTGRES_USER" --dbname postgres <<'SQL'
\getenv password EARSTONE_DB_PASSWORD
CREATE ROLE earstone LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE PASSWORD :'password';
ALTER DATABASE earstone OWNER TO earstone;
ALTER ROLE CURRENT_USER PASSWORD NULL;
SQL
