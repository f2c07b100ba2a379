#!/usr/bin/env python3
"""Ask the site in this container whether it is well; exit 1 if it is not.

Asked by its own name, for a site answers to no other: the first of EARSTONE_HOSTS.
"""

import http.client
import os
import sys


def healthy() -> bool:
    host = os.environ.get("EARSTONE_HOSTS", "localhost").split(",")[0].strip().lstrip(".")
    site = http.client.HTTPConnection("127.0.0.1", 8000, timeout=4)
    try:
        site.request("GET", "/healthy/", headers={"Host": host})
        return site.getresponse().status == 200
    except (OSError, http.client.HTTPException):
        return False
    finally:
        site.close()


if __name__ == "__main__":
    sys.exit(0 if healthy() else 1)
