"""A report as plain data is read back as it was written, years later too."""

import json

import pytest

from samples.reports.document import FORMAT, CannotReadDocument, as_json, read_json
from tests.reports.documents import make_document


class TestDocument:
    def test_document_is_read_back_as_it_was_written(self):
        document = make_document()

        assert read_json(as_json(document)) == document

    def test_document_without_a_later_field_has_its_default(self):
        kept = json.loads(as_json(make_document()))
        del kept["paper"], kept["blocks"][0]["excluded"]

        read = read_json(json.dumps(kept))

        assert read.paper == "letter"
        assert read.blocks[0].excluded == ()

    @pytest.mark.parametrize("kept", ["", "[]", "{}", '{"format": 1, "blocks": 3}'])
    def test_what_is_no_document_is_refused(self, kept):
        with pytest.raises(CannotReadDocument):
            read_json(kept)

    def test_document_of_a_later_program_is_refused(self):
        kept = json.loads(as_json(make_document())) | {"format": FORMAT + 1}

        with pytest.raises(CannotReadDocument):
            read_json(json.dumps(kept))
