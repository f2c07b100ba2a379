-- Gives everything of the database to a role without superuser rights, on a volume from before
-- there was one. docs/database-owner.md says how it is run.
\set ON_ERROR_STOP on
\getenv password EARSTONE_DB_PASSWORD
BEGIN;
-- Whoever made the volume stays a superuser for ever, so it gives its name up.
ALTER ROLE earstone RENAME TO earstone_superuser;
ALTER ROLE earstone_superuser PASSWORD NULL;
CREATE ROLE earstone LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE PASSWORD :'password';
ALTER DATABASE earstone OWNER TO earstone;
DO $$
DECLARE
  it record;
BEGIN
  -- Sequences of identity columns and indexes follow their tables.
  FOR it IN
    SELECT c.oid::regclass AS name
    FROM pg_class c
    JOIN pg_namespace n ON n.oid = c.relnamespace
    WHERE n.nspname = 'public' AND c.relkind IN ('r', 'p', 'v', 'm')
  LOOP
    EXECUTE format('ALTER TABLE %s OWNER TO earstone', it.name);
  END LOOP;
END
$$;
COMMIT;
