"""Changing the file of a backup, as a disk or a person might."""

import json
import zipfile


def rewrite_manifest(path, **facts):
    with zipfile.ZipFile(path) as file:
        members = {name: file.read(name) for name in file.namelist()}
    manifest = json.loads(members["manifest.json"]) | facts
    members["manifest.json"] = json.dumps(manifest).encode()
    write_members(path, members)


def write_members(path, members):
    with zipfile.ZipFile(path, "w") as file:
        for name, data in members.items():
            file.writestr(name, data)
