#!/bin/sh
# Make .env and the secrets of a new site: sh docker/make_env.sh samples.example.org
# Needs nothing but a shell. What is there already is never written over.
set -eu
cd "$(dirname "$0")/.."

host="${1:-}"
case "$host" in
  "" | *[!a-zA-Z0-9.-]*)
    echo "Give the site's host name, such as: sh docker/make_env.sh samples.example.org" >&2
    exit 1
    ;;
esac
if [ -e .env ] || [ -e secrets ]; then
  echo "There is a .env or a folder secrets already. Nothing was changed." >&2
  exit 1
fi

random() { # how many letters and digits
  LC_ALL=C tr -dc 'A-Za-z0-9' </dev/urandom | head -c "$1"
}

umask 077
mkdir secrets
random 64 >secrets/secret_key
random 40 >secrets/db_password
: >secrets/mail_password # until there is a mail server
# The containers' own user reads these; the folder lets nobody else on this machine in.
chmod 644 secrets/*
cat >.env <<WORDS
EARSTONE_HOSTS=$host
EARSTONE_PUBLIC_ADDRESS=https://$host
WORDS
echo "Made .env for https://$host, and a key and a database password in secrets/."
echo "Keep a copy of both away from this machine."
