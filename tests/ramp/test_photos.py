"""Photos of fish: taken in after their fish, cleaned, and shown to few."""

import hashlib
import io
import os
import struct
from pathlib import Path
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError
from PIL import Image, ImageChops, ImageOps

from samples.maintenance.check import check_data
from samples.maintenance.photos import stray_photos
from samples.models import Fish, Photo
from samples.ramp.services import photos
from tests.factories import make_fish
from tests.people import NOW
from tests.ramp.test_api import phone_of
from tests.ramp.typed import page_of

GPS = 0x8825


def picture(size=(800, 600), kind="JPEG", **more):
    drawn = Image.new("RGB", size, (90, 120, 90))
    drawn.paste((200, 20, 20), (0, 0, size[0] // 2, size[1] // 4))
    out = io.BytesIO()
    drawn.save(out, kind, **more)
    return out.getvalue()


def with_position():
    """Return a photo as phones make them: with a place, a maker and a comment, on its side."""
    exif = Image.Exif()
    exif[0x010F] = "Maker of phones"
    exif[0x0112] = 6  # turned: its height is its width
    exif.get_ifd(GPS).update({1: "N", 2: (43.0, 30.0, 12.0), 3: "W", 4: (96.0, 1.0, 2.0)})
    return picture(exif=exif, comment=b"my secret bay")


def with_odd_exif(tag, kind, value):
    """Return a photo on its side, with another field of its Exif in a form that it never has."""
    fields = [struct.pack("<HHII", 0x0112, 3, 1, 6), struct.pack("<HHI", tag, kind, 1) + value]
    exif = b"II*\0\x08\0\0\0" + struct.pack("<H", len(fields)) + b"".join(fields) + b"\0\0\0\0"
    return picture(exif=b"Exif\0\0" + exif)


def put(phone, fish, data, sha256=None):
    sha256 = sha256 or hashlib.sha256(data).hexdigest()
    entry_id = getattr(fish, "entry_id", fish)
    address = f"/api/v1/fish/{entry_id}/photo/{sha256}/"
    return phone.put(address, data, content_type="image/jpeg")


def kept():
    with Photo.objects.get().file.open("rb") as file:
        return file.read()


def problems():
    return [(one.code, one.where) for one in check_data(now=NOW) if one.code.startswith("photo")]


@pytest.fixture
def fish(party, white, vials):
    return make_fish(party, white, vial=vials[0])


@pytest.fixture
def phone(guide):
    return phone_of(guide)


class TestTakenIn:
    def test_sent_again_it_is_one(self, phone, fish):
        data = picture()

        assert [put(phone, fish, data).status_code for _ in range(2)] == [201, 200]
        photo = Photo.objects.get()
        assert (photo.fish, photo.width_px, photo.height_px) == (fish, 800, 600)
        assert photo.sha256 == hashlib.sha256(kept()).hexdigest()

    def test_another_takes_its_place_and_its_file_goes(
        self, phone, fish, django_capture_on_commit_callbacks
    ):
        put(phone, fish, picture())
        before = Photo.objects.get().file
        with django_capture_on_commit_callbacks(execute=True):
            answer = put(phone, fish, picture((640, 480)))

        assert answer.status_code == 201
        assert Photo.objects.get().width_px == 640
        assert not before.storage.exists(before.name)

    def test_only_the_picture_stays(self, phone, fish):
        sent = with_position()
        put(phone, fish, sent)

        data = kept()
        with Image.open(io.BytesIO(data)) as found:
            assert dict(found.getexif()) == {}
            assert "comment" not in found.info
            assert found.size == (600, 800)
            assert (found.format, found.mode) == ("JPEG", "RGB")
        assert b"secret" in sent
        assert b"secret" not in data
        assert b"Maker" not in data
        assert b"Exif" not in data

    @pytest.mark.parametrize("kind", ["PNG", "WEBP"])
    def test_other_kinds_become_a_jpeg_no_longer_than_1600_px(self, phone, fish, kind):
        assert put(phone, fish, picture((3200, 1600), kind)).status_code == 201
        assert (Photo.objects.get().width_px, Photo.objects.get().height_px) == (1600, 800)
        assert kept().startswith(b"\xff\xd8\xff")

    @pytest.mark.parametrize(
        ("tag", "kind", "value"),
        [
            (0x0100, 1, b"\x06\0\0\0"),
            (0x0111, 4, b"\xff\xff\xff\xff"),
            (0x010F, 11, b"\0\0\0\0"),
            (0x8769, 6, b"\xff\xff\xff\xff"),
        ],
        ids=["width in a byte", "strips past the end", "maker as a number", "before the start"],
    )
    def test_odd_exif_is_no_trouble(self, phone, fish, tag, kind, value):
        assert put(phone, fish, with_odd_exif(tag, kind, value)).status_code == 201
        assert (Photo.objects.get().width_px, Photo.objects.get().height_px) == (600, 800)

    @pytest.mark.parametrize("turn", range(2, 9))
    def test_however_the_phone_was_held_it_stands_upright(self, phone, fish, turn):
        exif = Image.Exif()
        exif[0x0112] = turn
        sent = picture(exif=exif)
        put(phone, fish, sent)

        upright = ImageOps.exif_transpose(Image.open(io.BytesIO(sent)))
        with Image.open(io.BytesIO(kept())) as found:
            assert found.size == upright.size
            corners = [(9, 9), (found.width - 9, found.height - 9), (9, found.height - 9)]
            for x, y in corners:
                there = (x, y, x + 1, y + 1)
                apart = ImageChops.difference(found.crop(there), upright.crop(there))
                assert max(apart.tobytes()) < 12

    def test_the_name_of_its_file_says_nothing(self, phone, fish):
        put(phone, fish, picture())
        name = Path(Photo.objects.get().file.name)

        assert name.suffix == ".jpg"
        assert str(fish.entry_id) not in str(name)


class TestRefused:
    @pytest.mark.parametrize(
        ("data", "code"),
        [
            (b"<svg onload='alert(1)'/>", "no_photo"),
            (b"", "no_photo"),
            (b"%PDF-1.7", "no_photo"),
            (picture()[:900], "broken_photo"),
            (picture(kind="GIF"), "no_photo"),
        ],
        ids=["svg", "nothing", "pdf", "truncated", "gif"],
    )
    def test_what_is_no_whole_photo_and_the_fish_is_kept(self, phone, fish, data, code):
        answer = put(phone, fish, data)

        assert (answer.status_code, answer.json()["code"]) == (400, code)
        assert Fish.objects.get() == fish
        assert not Photo.objects.exists()

    def test_forty_megabytes_are_read_no_further_than_two(self, phone, fish):
        answer = put(phone, fish, b"\xff\xd8\xff" + b"x" * 40 * 1024 * 1024)

        assert (answer.status_code, answer.json()["code"]) == (400, "too_large")

    def test_a_picture_of_more_pixels_than_a_camera_has(self, phone, fish, monkeypatch):
        monkeypatch.setattr(photos, "MOST_PIXELS", 800 * 600 - 1)

        assert put(phone, fish, picture()).json()["code"] == "too_many_pixels"

    def test_one_that_was_changed_on_its_way(self, phone, fish):
        assert put(phone, fish, picture(), sha256="0" * 64).json()["code"] == "damaged"

    def test_of_a_fish_that_is_not_on_record_or_not_ones_own(self, phone, fish, second_guide):
        strange = phone_of(second_guide)

        assert put(phone, uuid4(), picture()).status_code == 404
        assert put(strange, fish, picture()).status_code == 404
        assert not Photo.objects.exists()


class TestShown:
    @pytest.fixture
    def address(self, phone, fish):
        put(phone, fish, picture())
        return f"/lakes/lake-orrinbeck/fish/{fish.pk}/photo/"

    def test_to_office_and_biologist_beside_the_fish_and_to_nobody_else(
        self, client, address, fish, office, biologist, guide, reader
    ):
        pages = {
            office: f"/lakes/lake-orrinbeck/vials/{fish.vial.number}/",
            biologist: f"/lakes/lake-orrinbeck/ages/{fish.vial.number}/",
        }
        for person, page in pages.items():
            client.force_login(person)
            shown = page_of(client.get(page))
            assert f'src="{address}"' in shown
            assert str(fish.species) in shown
            assert client.get(address).status_code == 200
        for person in (guide, reader):
            client.force_login(person)
            assert client.get(address).status_code == 403
        client.logout()
        assert client.get(address).status_code == 302

    def test_as_a_picture_that_never_runs(self, client, address, office):
        client.force_login(office)
        answer = client.get(address)

        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert "sandbox" in answer["Content-Security-Policy"]
        assert answer["Cache-Control"] == "private, no-cache"
        assert b"".join(answer.streaming_content) == kept()

    def test_the_one_that_took_its_place_at_once_and_the_same_no_second_time(
        self, client, address, fish, phone, office
    ):
        client.force_login(office)
        first = client.get(address)
        again = client.get(address, headers={"if-none-match": first["ETag"]})
        put(phone, fish, picture((640, 480)))
        newer = client.get(address, headers={"if-none-match": first["ETag"]})

        # Source: RFC 9111, 5.2.2.4: no-cache asks before each use.
        assert {one["Cache-Control"] for one in (first, again)} == {"private, no-cache"}
        assert (again.status_code, again.content) == (304, b"")
        assert newer.status_code == 200
        assert b"".join(newer.streaming_content) == kept()


class TestKept:
    @pytest.fixture
    def media(self, settings, tmp_path):
        files = {"BACKEND": "django.core.files.storage.FileSystemStorage"}
        settings.STORAGES = settings.STORAGES | {"default": files}
        settings.MEDIA_ROOT = str(tmp_path / "media")
        return tmp_path / "media"

    def photo_of(self, phone, fish):
        put(phone, fish, picture())
        return Path(Photo.objects.get().file.path)

    def test_a_file_that_is_gone_or_changed_is_found(self, media, phone, fish):
        file = self.photo_of(phone, fish)
        sound = problems()
        file.write_bytes(b"another")
        changed = problems()
        file.unlink()
        gone = problems()

        assert sound == []
        assert changed == [("photo_changed", (str(fish.pk),))]
        assert gone == [("photo_without_file", (str(fish.pk),))]

    def test_one_that_is_not_put_on_record_leaves_no_file(self, media, fish, monkeypatch):
        def fail(photo):
            raise DatabaseError("the lock was held too long")

        monkeypatch.setattr(Photo, "save", fail)
        data = picture()
        with pytest.raises(DatabaseError):
            photos.keep_photo(
                fish, data, sha256=hashlib.sha256(data).hexdigest(), author=fish.logged_by,
                phone=None, now=NOW,
            )  # fmt: skip

        assert [path for path in media.rglob("*") if path.is_file()] == []

    def test_an_old_file_that_cannot_be_deleted_takes_no_new_one_with_it(
        self, media, phone, fish, monkeypatch, django_capture_on_commit_callbacks
    ):
        before = self.photo_of(phone, fish)

        def fail(storage, name):
            raise PermissionError(name)

        monkeypatch.setattr("django.core.files.storage.FileSystemStorage.delete", fail)
        with django_capture_on_commit_callbacks(execute=True):
            answer = put(phone, fish, picture((640, 480)))

        assert answer.status_code == 201
        assert problems() == []
        assert before.exists()

    def test_files_that_go_while_they_are_looked_through_are_no_trouble(
        self, media, phone, fish, monkeypatch
    ):
        file = self.photo_of(phone, fish)
        os.utime(file, (0, 0))
        monkeypatch.setattr(
            "django.core.files.storage.FileSystemStorage.listdir",
            lambda storage, folder: ([], ["replaced.jpg", file.name]),
        )
        Photo.objects.update(file=f"photos/{file.name}")

        assert stray_photos(NOW) == []

    def test_a_file_of_no_fish_is_found_and_deleted_on_request(self, media, phone, fish):
        whole = self.photo_of(phone, fish)
        stray = whole.with_name("stray.jpg")
        for path in (whole, stray):
            path.write_bytes(whole.read_bytes())
            os.utime(path, (0, 0))
        being_written = whole.with_name("new.jpg")
        being_written.write_bytes(b"half")
        found = stray_photos(NOW)

        # The vials of the tests are no whole run of labels: it reports them.
        with pytest.raises(CommandError):
            call_command("check_data", "--delete-stray-photos", stdout=io.StringIO())

        assert found == [str(stray.relative_to(media))]
        assert not stray.exists()
        assert whole.exists()
        assert being_written.exists()

    def test_nobody_else_on_the_machine_reads_it(self, media, phone, fish):
        assert self.photo_of(phone, fish).stat().st_mode & 0o077 == 0
