# One image for every service: the site, its migrations, its commands.
FROM python:3.13-slim

ENV PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    PIP_NO_CACHE_DIR=1 \
    PIP_DISABLE_PIP_VERSION_CHECK=1

WORKDIR /earstone

# Pins first: they change less often than the code, and this layer is the slow one.
COPY requirements.txt ./
RUN pip install --require-hashes -r requirements.txt

COPY LICENSE manage.py ./
COPY docker ./docker
COPY fisheries ./fisheries
COPY samples ./samples
COPY templates ./templates

# Collects style sheets and scripts under names that change with their content. The key only lets
# the settings load; it is not kept in the image and signs nothing.
RUN EARSTONE_SECRET_KEY="$(python -c 'import secrets; print(secrets.token_urlsafe(60))')" \
    python manage.py collectstatic --no-input

RUN useradd --uid 10001 --no-create-home --home-dir /earstone earstone
USER earstone

EXPOSE 8000
HEALTHCHECK --interval=30s --timeout=5s --start-period=20s --retries=3 \
    CMD ["python", "docker/healthcheck.py"]
# No list of addresses: personal links are among them. Threads, for a page waits on the
# database most of its time; the worker's heartbeat stays off disk.
CMD ["gunicorn", "fisheries.wsgi:application", "--bind", "0.0.0.0:8000", "--workers", "2", \
     "--threads", "4", "--worker-tmp-dir", "/dev/shm", "--no-control-socket"]
