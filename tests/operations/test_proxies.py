"""The configurations for nginx and Caddy, as they are shipped, in front of the real site."""

import http.client
import os
import shutil
import socket
import ssl
import subprocess

import pytest

from tests.operations.site import HOST, ROOT, Process, free_port, gunicorn, start_site
from tests.template import copy_sqlite_template

NAME = "samples.example.org"
TOKEN = "aB3-token-of-a-guide"
SOME_PLACES = os.pathsep.join((os.environ.get("PATH", ""), "/usr/sbin", "/sbin"))


def program(name):
    found = shutil.which(name, path=SOME_PLACES)
    if found is None:
        pytest.skip(f"{name} is not on this machine")
    return found


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("proxies")


@pytest.fixture(scope="module")
def certificate(folder):
    files = folder / "fullchain.pem", folder / "privkey.pem"
    subprocess.run(
        [
            *("openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256"),
            *("-nodes", "-days", "2", "-subj", f"/CN={NAME}", "-addext"),
            *(f"subjectAltName=DNS:{NAME}", "-out", files[0], "-keyout", files[1]),
        ],
        check=True,
        capture_output=True,
    )
    return files


@pytest.fixture(scope="module")
def site(folder):
    """Return the site of an installation behind one proxy; its database counts wrong sign-ins."""
    static, database = folder / "static", folder / "earstone.sqlite3"
    copy_sqlite_template(database)
    environment = {
        "DATABASE_URL": f"sqlite:///{database}",
        "EARSTONE_HOSTS": NAME,
        "EARSTONE_PUBLIC_ADDRESS": f"https://{NAME}",
        "EARSTONE_PROXY_COUNT": "1",
        "EARSTONE_STATIC": str(static),
    }
    made = gunicorn(folder, free_port(), environment)
    for command in ("migrate", "publish_static_files"):
        subprocess.run(
            [made.command[0], "manage.py", command],
            cwd=ROOT,
            env=made.environment,
            check=True,
            capture_output=True,
        )
    start_site(made)
    yield made
    made.stop()


def put_in(text, changes):
    """Change what an administrator changes, and the ports; each must be there to change."""
    for old, new in changes.items():
        assert old in text, old
        text = text.replace(old, str(new))
    return text


def start_nginx(folder, site, certificate):
    port, plain = free_port(), free_port()
    shipped = (ROOT / "docker/nginx.conf").read_text()
    conf = put_in(
        shipped,
        {
            "listen 80;": f"listen {HOST}:{plain};",
            "listen 443 ssl;": f"listen {HOST}:{port} ssl;",
            "/etc/ssl/earstone/fullchain.pem": certificate[0],
            "/etc/ssl/earstone/privkey.pem": certificate[1],
            "/var/log/nginx": folder,
            "http://127.0.0.1:8000": f"http://{HOST}:{site.port}",
        },
    )
    places = "".join(
        f"{name}_temp_path {folder / name};\n"
        for name in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    # As root its workers would be somebody else, who may not open the folder of a test.
    user = "user root;\n" if os.geteuid() == 0 else ""
    main = folder / "nginx.conf"
    main.write_text(
        f"{user}daemon off; pid {folder}/nginx.pid; error_log stderr;\n"
        f"events {{}}\nhttp {{\n{places}{conf}\n}}\n"
    )
    proxy = Process([program("nginx"), "-c", str(main)], folder=folder, port=port)
    return proxy.start(lambda: fetch(port, "/healthy/")[0] == 200), folder / "earstone.log"


def start_caddy(folder, site, certificate):
    port, log = free_port(), folder / "caddy-earstone.log"
    shipped = (ROOT / "docker/Caddyfile").read_text()
    conf = put_in(
        shipped,
        {
            f"\n{NAME} {{": f"\n{NAME} {{\n\ttls {certificate[0]} {certificate[1]}",
            "/var/log/caddy/earstone.log": log,
            "reverse_proxy 127.0.0.1:8000": f"reverse_proxy {HOST}:{site.port}",
        },
    )
    main = folder / "Caddyfile"
    ports = f"\thttps_port {port}\n\tauto_https disable_redirects\n"
    main.write_text(f"{{\n\tadmin off\n{ports}}}\n{conf}")
    proxy = Process(
        [program("caddy"), "run", "--adapter", "caddyfile", "--config", str(main)],
        folder=folder,
        port=port,
        environment={"HOME": str(folder), "XDG_DATA_HOME": str(folder)},
    )
    return proxy.start(lambda: fetch(port, "/healthy/")[0] == 200), log


START = {"nginx": start_nginx, "caddy": start_caddy}


@pytest.fixture(scope="module", params=list(START))
def proxy(request, folder, site, certificate):
    started, log = START[request.param](folder, site, certificate)
    started.access_log = log
    yield started
    started.stop()


def fetch(port, path, *, method="GET", headers=None, size=0, sent=True):
    """Ask over TLS by the site's own name; the body is blank, and may be announced alone."""
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    lines = [f"{method} {path} HTTP/1.1", f"Host: {NAME}", "Connection: close"]
    lines += [f"{name}: {value}" for name, value in (headers or {}).items()]
    if size:
        lines.append(f"Content-Length: {size}")
    with (
        socket.create_connection((HOST, port), timeout=10) as plain,
        context.wrap_socket(plain, server_hostname=NAME) as link,
    ):
        link.sendall("\r\n".join([*lines, "", ""]).encode())
        link.sendall(b" " * size if sent else b"")
        answer = http.client.HTTPResponse(link)
        answer.begin()
        headers = {name.lower(): value for name, value in answer.getheaders()}
        return answer.status, headers, answer.read().decode()


def test_a_page_opens_over_tls_by_its_name(proxy):
    status, headers, body = fetch(proxy.port, "/sign-in/")

    assert status == 200
    assert "Sign-in name" in body
    assert headers["strict-transport-security"].startswith("max-age=")


def test_a_long_form_with_its_cookie_and_origin_is_taken(proxy):
    """Above the megabyte at which nginx stops a body unless told otherwise."""
    _, headers, body = fetch(proxy.port, "/sign-in/")
    token = body.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]
    cookie = headers["set-cookie"].split(";")[0]
    more = {"Cookie": cookie, "Origin": f"https://{NAME}", "X-CSRFToken": token}
    more["Content-Type"] = "application/x-www-form-urlencoded"

    status, _, body = fetch(proxy.port, "/sign-in/", method="POST", headers=more, size=2_000_000)

    assert status == 422
    assert 'id="id_username_error"' in body


def test_what_a_caller_claims_is_not_believed(proxy, site):
    """A caller who names a scheme and an address of their own gets neither taken."""
    status, _, _ = fetch(
        proxy.port,
        "/sign-in/",
        headers={"X-Forwarded-Proto": "http", "X-Forwarded-For": "203.0.113.9"},
    )

    assert status == 200


def test_a_body_that_is_too_large_is_told_in_words(proxy):
    status, _, body = fetch(
        proxy.port, "/api/v1/outbox/", method="POST", size=21_000_000, sent=False
    )

    assert status == 413
    assert "20 MB" in body


def test_personal_links_stay_out_of_every_log(proxy, site):
    fetch(proxy.port, f"/me/{TOKEN}/")
    fetch(proxy.port, "/sign-in/", headers={"Referer": f"https://{NAME}/me/{TOKEN}/"})

    def logged():
        return "".join(file.read_text() for file in (proxy.access_log, proxy.log_path))

    assert "/me/..." in logged()
    assert TOKEN not in logged() + site.log()


def test_readiness_is_for_this_machine(proxy):
    status, _, body = fetch(proxy.port, "/ready/")

    assert status == 200
    assert '"version"' in body


def test_the_proxy_says_what_guides_should_know_while_the_site_is_stopped(proxy, site):
    site.stop()
    try:
        status, headers, _ = fetch(proxy.port, "/sign-in/")
    finally:
        start_site(site)

    assert (status, headers["retry-after"]) == (503, "30")
    # A page of the proxy's own would be HTML.
    assert headers["content-type"].startswith("text/plain")
