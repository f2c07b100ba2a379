"""Where a request came from, as the proxies in front of the site say it."""

import ipaddress
from dataclasses import dataclass

from django.conf import settings
from django.http import HttpRequest

# One customer has a network of this many bits, and may use any address in it.
IPV6_NETWORK_BITS = 64


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks: the address, the network that locks go by, and the browser in a few words."""

    address: str | None
    network: str | None
    browser: str


def caller_of(request: HttpRequest) -> Caller:
    """Return where a request came from."""
    address = client_address(request)
    return Caller(address, network_of(address), browser_name(_user_agent(request)))


def client_address(request: HttpRequest) -> str | None:
    """Return the address that the outermost proxy of ours saw.

    Each proxy adds the address of whoever asked it at the right end of X-Forwarded-For. What
    stands further left came with the request and may be made up. A request that passed fewer
    proxies than there are came around them: its own address counts.
    """
    count: int = settings.PROXY_COUNT
    entries = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    if 0 < count <= len(entries) and (forwarded := _parsed(entries[-count])):
        return forwarded
    return _parsed(request.META.get("REMOTE_ADDR", ""))


def client_network(request: HttpRequest) -> str | None:
    """Return the network that sign-in is locked by."""
    return network_of(client_address(request))


def network_of(address: str | None) -> str | None:
    """Return an IPv4 address as it is, an IPv6 address by the start of its network."""
    if address is None:
        return None
    parsed = ipaddress.ip_address(address)
    if parsed.version == 4:
        return address
    return str(ipaddress.ip_network((parsed, IPV6_NETWORK_BITS), strict=False).network_address)


def _parsed(text: str) -> str | None:
    """Read an address with or without a port, in its shortest form; None where it is none."""
    host = text.strip()
    if host.startswith("["):
        host = host[1:].partition("]")[0]
    elif host.count(":") == 1:
        host = host.partition(":")[0]
    try:
        address = ipaddress.ip_address(host.partition("%")[0])
    except ValueError:
        return None
    mapped = getattr(address, "ipv4_mapped", None)
    return str(mapped or address)


def _user_agent(request: HttpRequest) -> str:
    words: str = request.META.get("HTTP_USER_AGENT", "")
    return words


# In this order: most browsers also name the ones that they descend from.
BROWSERS = {"Edg": "Edge", "Firefox": "Firefox", "Chrom": "Chrome", "CriOS": "Chrome"}
BROWSERS |= {"FxiOS": "Firefox", "Safari": "Safari"}
SYSTEMS = {"Android": "Android", "iPhone": "iPhone", "iPad": "iPad", "Windows": "Windows"}
SYSTEMS |= {"Mac OS": "Mac", "CrOS": "Chromebook", "Linux": "Linux"}


def browser_name(user_agent: str) -> str:
    """Name browser and system so that a person recognizes their own."""
    browser = next((name for sign, name in BROWSERS.items() if sign in user_agent), "Browser")
    system = next((name for sign, name in SYSTEMS.items() if sign in user_agent), "")
    return f"{browser} on {system}" if system else browser
