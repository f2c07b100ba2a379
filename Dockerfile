# Two images: `site` serves, migrates and runs commands; `backup` makes and restores backups.
# Both stand on the same Debian, so that what is installed in one runs in the other.
FROM python:3.13-slim-trixie AS site

# One thread for the libraries of findings: several requests run beside each other, and a pool of
# threads in each makes all of them slower.
ENV PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    MPLCONFIGDIR=/tmp/matplotlib \
    EARSTONE_BIND=0.0.0.0:8000 \
    PIP_NO_CACHE_DIR=1 \
    PIP_DISABLE_PIP_VERSION_CHECK=1 \
    OPENBLAS_NUM_THREADS=1 \
    OMP_NUM_THREADS=1 \
    MKL_NUM_THREADS=1

WORKDIR /earstone

# Pins first: they change less often than the code, and this layer is the slow one.
# REQUIREMENTS=requirements-s3.txt adds what a site needs whose pictures lie in a bucket.
ARG REQUIREMENTS=requirements.txt
COPY requirements.txt requirements-s3.txt ./
RUN pip install --require-hashes -r "$REQUIREMENTS"

COPY LICENSE manage.py ./
COPY docker ./docker
COPY fisheries ./fisheries
COPY samples ./samples
COPY templates ./templates

# Collects style sheets and scripts under names that change with their content. The key only lets
# the settings load; it is not kept in the image and signs nothing.
RUN EARSTONE_SECRET_KEY="$(python -c 'import secrets; print(secrets.token_urlsafe(60))')" \
    python manage.py collectstatic --no-input

# New volumes at these folders take over whom they belong to.
RUN useradd --uid 10001 --no-create-home --home-dir /earstone earstone \
    && install --directory --owner=earstone --mode=0700 media /backups \
    && chown -R earstone staticfiles
USER earstone

EXPOSE 8000
HEALTHCHECK --interval=30s --timeout=5s --start-period=20s --retries=3 \
    CMD ["python", "docker/healthcheck.py"]
CMD ["gunicorn", "--config", "docker/gunicorn.conf.py", "fisheries.wsgi:application"]


# ---------- Backups ----------

# Dumps are made by the server's own programs: the tag is that of the database's image.
FROM postgres:18.1-trixie AS backup

ENV PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    OPENBLAS_NUM_THREADS=1 \
    OMP_NUM_THREADS=1 \
    MKL_NUM_THREADS=1 \
    EARSTONE_PG_TOOLS=/usr/lib/postgresql/18/bin \
    EARSTONE_BACKUPS=/backups

# Debian's own Python is of the site's version, and looks for packages in dist-packages.
RUN apt-get update \
    && apt-get install --yes --no-install-recommends python3 \
    && rm -rf /var/lib/apt/lists/*
COPY --from=site /usr/local/lib/python3.13/site-packages /usr/local/lib/python3.13/dist-packages
COPY --from=site /earstone /earstone
WORKDIR /earstone

# A new volume at /backups takes over whom the folder belongs to.
RUN useradd --uid 10001 --no-create-home --home-dir /earstone earstone \
    && install --directory --owner=earstone --mode=0700 /backups \
    && chown -R earstone media staticfiles
USER earstone

# Those of the database's image are not meant here.
ENTRYPOINT []
STOPSIGNAL SIGTERM
HEALTHCHECK --interval=30m --timeout=30s --start-period=30m --retries=2 \
    CMD ["python3", "manage.py", "backup", "--newest-within", "26"]
CMD ["python3", "manage.py", "backup", "--nightly", "08:30", "--keep", "14"]

# What is built when no image is named.
FROM site
