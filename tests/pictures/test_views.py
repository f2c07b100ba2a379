"""Uploading, matching and looking at pictures, as people of the lab do it."""

import json

import pytest
from django.core.files.storage import default_storage

from samples.maintenance.files import files_below
from samples.models import Picture, PictureScale
from samples.pictures.services.imaging import make_picture
from samples.rules.vial_number import grouped
from tests.people import make_person
from tests.pictures.making import address, jpeg, keep, keep_of_vial, upload_of
from tests.shown import error_codes, message_tags

READER = "samples.pictures.services.upload.make_picture"


def sign_in(client, person):
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def as_reader(client, reader):
    return sign_in(client, reader)


def send_one(client, lake, name, data, **more):
    answer = client.post(address("upload_one", lake), {"file": upload_of(name, data), **more})
    return answer.status_code, json.loads(answer.content)


def files_kept():
    """Return the files among the pictures, which tests of this process share."""
    return set(files_below(default_storage, "pictures"))


class TestUpload:
    def test_a_picture_is_kept_with_the_vial_that_its_name_says(
        self, as_reader, lake, vials, reader
    ):
        data = jpeg()

        status, told = send_one(as_reader, lake, f"{grouped(vials[2].number)} left.jpg", data)

        assert (status, told["code"]) == (200, "matched")
        picture = Picture.objects.get()
        assert (picture.vial, picture.suggested_vial, picture.side) == (None, vials[2], "left")
        assert (picture.uploaded_by, picture.width_px, picture.height_px) == (reader, 800, 600)
        assert as_reader.get(told["thumbnail"]).status_code == 200
        with picture.original.open("rb") as file:
            assert file.read() == data

    @pytest.mark.parametrize(
        ("name", "data", "code"),
        [
            ("notes.jpg", b"only words", "wrong_type"),
            ("half.jpg", jpeg()[:-3000], "broken_picture"),
        ],
    )
    def test_what_is_no_picture_leaves_nothing_behind(self, as_reader, lake, name, data, code):
        before = files_kept()

        status, told = send_one(as_reader, lake, name, data)

        assert (status, told["code"]) == (422, code)
        assert not Picture.objects.exists()
        assert files_kept() == before

    def test_a_large_file_is_refused(self, as_reader, lake, monkeypatch):
        monkeypatch.setattr("samples.pictures.services.upload.MOST_BYTES", 1000)

        assert send_one(as_reader, lake, "a.jpg", jpeg())[1]["code"] == "too_large"

    def test_the_same_file_is_kept_once(self, as_reader, lake):
        send_one(as_reader, lake, "a.jpg", jpeg())
        status, told = send_one(as_reader, lake, "renamed.jpg", jpeg())

        assert (status, told["code"]) == (200, "known")
        assert Picture.objects.count() == 1

    def test_the_same_file_sent_twice_at_once_is_kept_once(
        self, as_reader, lake, reader, tmp_path, monkeypatch
    ):
        """The other sending is done while this one still reads the file."""

        def read_while_another_is_kept(path):
            monkeypatch.setattr(READER, make_picture)
            keep(tmp_path, lake, reader, name="other.jpg")
            return make_picture(path)

        monkeypatch.setattr(READER, read_while_another_is_kept)
        before = files_kept()
        status, told = send_one(as_reader, lake, "a.jpg", jpeg())

        assert (status, told["code"]) == (200, "known")
        assert Picture.objects.get().original_name == "other.jpg"
        assert len(files_kept() - before) == 3

    def test_without_a_script_a_form_sends_several_and_says_which_was_refused(
        self, as_reader, lake, vials
    ):
        files = [
            upload_of(f"{vials[0].number}.jpg", jpeg()),
            upload_of("broken.jpg", b"only words"),
        ]

        answer = as_reader.post(address("upload", lake), {"files": files})

        assert answer.status_code == 422
        assert [(one.name, one.code) for one in answer.context["refused"]] == [
            ("broken.jpg", "wrong_type")
        ]
        assert Picture.objects.get().suggested_vial == vials[0]

    def test_a_form_without_files_is_asked_again(self, as_reader, lake):
        answer = as_reader.post(address("upload", lake), {})

        assert answer.status_code == 422
        assert error_codes(answer) == {"__all__": ["no_file"]}


class TestConfirm:
    @pytest.fixture
    def kept(self, tmp_path, lake, vials, reader):
        """Two pictures that are matched by name, and two that are not."""
        names = [f"{vials[0].number}.jpg", f"{vials[1].number}.jpg", "a.jpg", "b.jpg"]
        return [
            keep(tmp_path, lake, reader, name=name, data=jpeg(shift=shift))
            for shift, name in enumerate(names)
        ]

    def confirm(self, client, lake, kept, vials):
        said = {"picture": [one.pk for one in kept]}
        for picture, vial in zip(kept, vials, strict=True):
            said[f"{picture.pk}-vial"] = vial
        return client.post(address("confirm", lake), said)

    def test_gives_each_its_vial_and_leaves_the_rest_aside(
        self, as_reader, lake, kept, vials, reader
    ):
        typed = [vials[0].number, vials[1].number, grouped(vials[5].number), ""]

        answer = self.confirm(as_reader, lake, kept, typed)

        assert answer.status_code == 302
        rows = Picture.objects.order_by("pk")
        assert [one.vial for one in rows] == [vials[0], vials[1], vials[5], None]
        assert [one.confirmed_by for one in rows] == [reader, reader, reader, None]
        assert list(rows[0].history.values_list("vial", flat=True)) == [vials[0].pk, None]

    def test_a_wrong_number_is_asked_about_and_the_others_are_kept(
        self, as_reader, lake, kept, vials
    ):
        typed = [vials[0].number, "2699999", "26 0001 1", ""]

        answer = self.confirm(as_reader, lake, kept, typed)

        assert answer.status_code == 422
        forms = {row.picture.pk: row.form for row in answer.context["rows"]}
        assert set(forms) == {one.pk for one in kept[1:]}
        assert forms[kept[1].pk]["vial"].value() == "2699999"
        assert Picture.objects.filter(vial=vials[0]).count() == 1
        assert len(answer.context["problems"]) == 2

    def test_says_why_a_name_gave_no_vial(self, as_reader, lake, tmp_path, reader, kept):
        page = as_reader.get(address("confirm", lake))

        assert page.context["matched"] == 2
        assert [bool(row.why) for row in page.context["rows"]] == [False, False, True, True]


class TestOnePicture:
    def test_moves_to_another_vial_and_aside(self, as_reader, lake, vials, reader, tmp_path):
        picture = keep_of_vial(tmp_path, vials[0], reader)
        page = address("picture", lake, picture.pk)

        moved = as_reader.post(page, {"vial": vials[3].number, "side": "right", "note": "section"})
        picture.refresh_from_db()
        assert moved.status_code == 302
        assert (picture.vial, picture.side, picture.note) == (vials[3], "right", "section")

        as_reader.post(page, {"vial": "", "side": "", "note": ""})
        picture.refresh_from_db()
        assert (picture.vial, picture.confirmed_by) == (None, None)

    def test_an_unknown_vial_keeps_what_was_typed(self, as_reader, lake, vials, reader, tmp_path):
        picture = keep_of_vial(tmp_path, vials[0], reader)

        answer = as_reader.post(
            address("picture", lake, picture.pk), {"vial": "26 9999 8", "note": "kept"}
        )

        assert answer.status_code == 422
        assert answer.context["form"]["note"].value() == "kept"
        picture.refresh_from_db()
        assert picture.vial == vials[0]

    def test_is_deleted_with_its_files_once_it_is_aside(
        self, as_reader, lake, vials, reader, tmp_path, django_capture_on_commit_callbacks
    ):
        picture = keep_of_vial(tmp_path, vials[0], reader)
        as_reader.get(address("picture", lake, picture.pk))
        picture.refresh_from_db()
        files = [(one.storage, one.name) for one in (picture.original, picture.file)]
        files += [(one.storage, one.name) for one in (picture.thumbnail, picture.tiles)]

        refused = as_reader.post(address("delete", lake, picture.pk), follow=True)
        assert message_tags(refused) == ["has_a_vial error"]
        as_reader.post(address("picture", lake, picture.pk), {"vial": ""})
        with django_capture_on_commit_callbacks(execute=True):
            as_reader.post(address("delete", lake, picture.pk))

        assert not Picture.objects.exists()
        assert [storage.exists(name) for storage, name in files] == [False] * 4

    def test_the_list_finds_a_vial_by_a_part_of_its_number(
        self, as_reader, lake, vials, reader, tmp_path
    ):
        keep_of_vial(tmp_path, vials[0], reader)
        keep_of_vial(tmp_path, vials[1], reader, data=jpeg(shift=1))

        page = as_reader.get(address("pictures", lake), {"vial": grouped(vials[1].number)})

        assert [one.vial for one in page.context["page"]] == [vials[1]]


class TestFiles:
    FILES = ("copy", "thumbnail", "original", "tiles")

    @pytest.fixture
    def picture(self, tmp_path, vials, reader):
        return keep_of_vial(tmp_path, vials[0], reader, data=jpeg((1300, 700)))

    def test_are_never_run_whatever_they_are(self, as_reader, lake, picture):
        as_reader.get(address("tiles", lake, picture.pk))
        answers = [as_reader.get(address(name, lake, picture.pk)) for name in self.FILES[:3]]
        answers.append(as_reader.get(address("tile", lake, picture.pk, 2, 1, 0)))

        types = [one["Content-Type"] for one in answers]
        assert types == ["image/jpeg", "image/jpeg", "application/octet-stream", "image/jpeg"]
        assert {one["X-Content-Type-Options"] for one in answers} == {"nosniff"}
        assert {one["Content-Security-Policy"] for one in answers} == {
            "default-src 'none'; sandbox"
        }
        assert answers[2]["Content-Disposition"].startswith("attachment")
        assert {one["Cache-Control"] for one in answers} == {"private, no-cache"}

    def test_a_second_look_sends_no_bytes_again(self, as_reader, lake, picture):
        for name in ("copy", "thumbnail"):
            first = as_reader.get(address(name, lake, picture.pk))
            again = as_reader.get(
                address(name, lake, picture.pk), headers={"if-none-match": first["ETag"]}
            )
            assert (first.status_code, again.status_code) == (200, 304)

    def test_a_tile_that_is_not_there_is_none(self, as_reader, lake, picture):
        as_reader.get(address("tiles", lake, picture.pk))

        for place in ((2, 3, 0), (9, 0, 0)):
            assert as_reader.get(address("tile", lake, picture.pk, *place)).status_code == 404

    @pytest.mark.parametrize("who", ["office", "guide", "clerk"])
    def test_other_roles_of_the_lake_see_none(self, client, request, who, lake, picture):
        sign_in(client, request.getfixturevalue(who))

        answers = [client.get(address(name, lake, picture.pk)) for name in self.FILES]
        assert [one.status_code for one in answers] == [403] * 4

    def test_a_reader_of_another_lake_sees_none(self, client, lake, other_lake, picture):
        stranger = make_person(other_lake, "reader", "S. Quill")
        sign_in(client, stranger)

        for at in (lake, other_lake):
            answers = [client.get(address(name, at, picture.pk)) for name in self.FILES]
            answers.append(client.get(address("tile", at, picture.pk, 0, 0, 0)))
            answers.append(client.get(address("picture", at, picture.pk)))
            assert [one.status_code for one in answers] == [404] * 6

    def test_lost_tiles_are_drawn_again(self, as_reader, lake, picture):
        as_reader.get(address("tiles", lake, picture.pk))
        picture.refresh_from_db()
        picture.tiles.storage.delete(picture.tiles.name)

        state = json.loads(as_reader.get(address("tiles", lake, picture.pk)).content)

        assert state["state"] == "ready"
        assert as_reader.get(address("tile", lake, picture.pk, 0, 0, 0)).status_code == 200


class TestScales:
    @pytest.fixture
    def micrometer(self, as_reader, lake):
        as_reader.post(
            address("scales", lake), {"name": "Stereo 20x", "file": upload_of("mm.jpg", jpeg())}
        )
        return Picture.objects.get(kind="micrometer")

    def set(self, client, lake, micrometer, **more):
        said = {"x1": "100", "y1": "50", "x2": "600", "y2": "50", "distance": "1 mm", **more}
        return client.post(address("scale", lake, micrometer.pk), said)

    def test_two_points_and_their_distance_scale_the_pictures_that_wait(
        self, as_reader, lake, micrometer, reader, tmp_path
    ):
        objective = micrometer.objective
        fits = keep(tmp_path, lake, reader, data=jpeg(shift=1), objective=objective)
        other_size = keep(tmp_path, lake, reader, data=jpeg((400, 300)), objective=objective)

        assert self.set(as_reader, lake, micrometer).status_code == 302

        fits.refresh_from_db()
        other_size.refresh_from_db()
        # 1 mm over 500 pixels.
        assert fits.um_per_px == pytest.approx(2.0)
        assert other_size.um_per_px is None
        scale = PictureScale.objects.get()
        assert (scale.set_by, scale.distance_um) == (reader, 1000.0)

    def test_a_later_scale_leaves_older_pictures_theirs(
        self, as_reader, lake, micrometer, reader, tmp_path
    ):
        objective = micrometer.objective
        self.set(as_reader, lake, micrometer)
        older = keep(tmp_path, lake, reader, data=jpeg(shift=1), objective=objective)
        self.set(as_reader, lake, micrometer, distance="1100 µm")
        newer = keep(tmp_path, lake, reader, data=jpeg(shift=2), objective=objective)

        older.refresh_from_db()
        assert older.um_per_px == pytest.approx(2.0)
        assert newer.um_per_px == pytest.approx(2.2)

    @pytest.mark.parametrize(
        ("said", "codes"),
        [
            ({"distance": "1"}, {"distance": ["no_distance"]}),
            ({"distance": "0 mm"}, {"distance": ["zero"]}),
            ({"distance": "1 µm"}, {"distance": ["unlikely_scale"]}),
            ({"x2": "110"}, {"__all__": ["points_too_close"]}),
            ({"x2": "900"}, {"__all__": ["point_outside"]}),
            ({"x1": ""}, {"x1": ["required"]}),
        ],
    )
    def test_what_makes_no_scale_is_asked_again(self, as_reader, lake, micrometer, said, codes):
        answer = self.set(as_reader, lake, micrometer, **said)

        assert answer.status_code == 422
        assert error_codes(answer) == codes
        assert not PictureScale.objects.exists()

    def test_an_objective_is_named_once_and_needs_its_picture(self, as_reader, lake, micrometer):
        said = {"name": "stereo 20X", "file": upload_of("b.jpg", jpeg(shift=3))}
        again = as_reader.post(address("scales", lake), said)
        broken = as_reader.post(
            address("scales", lake), {"name": "Other", "file": upload_of("b.jpg", b"words")}
        )

        assert error_codes(again) == {"name": ["name_taken"]}
        assert error_codes(broken) == {"file": ["wrong_type"]}
        assert lake.objectives.count() == 1

    def test_a_picture_of_another_kind_has_no_such_page(
        self, as_reader, lake, vials, reader, tmp_path
    ):
        picture = keep_of_vial(tmp_path, vials[0], reader, data=jpeg(shift=4))

        assert as_reader.get(address("scale", lake, picture.pk)).status_code == 404


class TestVialPage:
    def test_shows_pictures_to_whoever_reads_otoliths(
        self, client, biologist, office, lake, vials, reader, tmp_path
    ):
        picture = keep_of_vial(tmp_path, vials[0], reader)
        page = f"/lakes/{lake.slug}/vials/{vials[0].number}/"
        small = address("thumbnail", lake, picture.pk)

        assert small in sign_in(client, biologist).get(page).content.decode()
        assert small not in sign_in(client, office).get(page).content.decode()


def test_a_list_of_many_asks_no_more_than_a_list_of_one(
    as_reader, lake, vials, reader, tmp_path, django_assert_max_num_queries
):
    size = (100, 100)
    for shift in range(12):
        keep_of_vial(tmp_path, vials[shift], reader, data=jpeg(size, shift))
        keep(tmp_path, lake, reader, name=f"{shift}.jpg", data=jpeg(size, shift + 20))

    for name in ("pictures", "confirm"):
        with django_assert_max_num_queries(14):
            assert as_reader.get(address(name, lake)).status_code == 200
