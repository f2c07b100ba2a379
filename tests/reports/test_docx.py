"""The Word file of a report, opened again by the library that others open it with."""

import io
from dataclasses import replace

import docx
import pytest
from docx.image.image import Image
from docx.oxml.ns import qn

from samples.reports.document import Passage
from samples.reports.writers.docx import write_docx
from tests.reports.documents import make_document


@pytest.fixture(scope="module")
def document():
    return make_document()


@pytest.fixture(scope="module")
def opened(document):
    return docx.Document(io.BytesIO(write_docx(document)))


def texts(opened, style):
    return [one.text for one in opened.paragraphs if one.style.name == style]


def test_each_block_has_a_real_heading_and_a_line_of_the_contents_that_leads_to_it(opened):
    headings = [one for one in opened.paragraphs if one.style.name == "Heading 1"]
    marks = [one._p.find(qn("w:bookmarkStart")).get(qn("w:name")) for one in headings]
    links = opened.element.body.findall(f".//{qn('w:hyperlink')}")

    assert [one.text for one in headings] == ["1 Growth", "2 Mortality"]
    assert [one.get(qn("w:anchor")) for one in links] == marks


def test_a_table_is_a_table_whose_heads_come_again_on_each_page(opened, document):
    [table] = opened.tables
    rows = table.rows
    [source] = document.blocks[0].tables

    again = [row._tr.find(f".//{qn('w:tblHeader')}") is not None for row in rows]
    assert again == [True, True, False, False, False]
    assert [cell.text for cell in rows[1].cells] == [column.head for column in source.columns]
    assert [cell.text for cell in rows[2].cells] == [cell.words for cell in source.rows[0]]


def test_a_figure_is_a_picture_of_300_dots_as_wide_as_the_text_and_said_in_words(opened, document):
    [figure] = document.blocks[0].figures
    [shape] = opened.inline_shapes
    [part] = [one.blob for one in opened.part.package.iter_parts() if one.partname.endswith(".png")]

    assert shape.width.inches == pytest.approx(6.5)
    assert Image.from_blob(part).px_width == pytest.approx(6.5 * 300, abs=2)
    assert shape._inline.docPr.get("descr") == figure.alt


def test_own_words_are_told_apart_from_what_the_program_says(opened, document):
    assert texts(opened, "Quote") == [*document.words, *document.blocks[0].own_words]


def test_a_block_without_data_says_why_and_nothing_else(opened, document):
    assert texts(opened, "Intense Quote") == [document.blocks[1].missing]


def test_the_file_knows_its_title_authors_language_and_data(opened, document):
    found = opened.core_properties
    assert (found.title, found.author) == (document.title, "Nell Aubrey")
    assert found.language == document.language
    assert document.revision in found.keywords


def test_signs_that_no_file_can_hold_do_not_stop_it(document):
    words = Passage("Copied\x0b", ("a\x00 b\x1b.",), bulleted=True)
    block = replace(document.blocks[0], own_words=("\x07bell",), parts=(words,))
    opened = docx.Document(io.BytesIO(write_docx(replace(document, blocks=(block,)))))
    assert "a b." in texts(opened, "List Bullet")
