"""The slides of a report, opened again by the library that others open them with."""

import io
from dataclasses import replace

import pptx
import pytest
from pptx.enum.shapes import MSO_SHAPE_TYPE

from samples.reports.document import Figure
from samples.reports.writers.pptx import write_pptx
from tests.reports.documents import make_document, make_plot, make_table


def open_slides(document):
    return list(pptx.Presentation(io.BytesIO(write_pptx(document))).slides)


def of_kind(slide, kind):
    return [one for one in slide.shapes if one.shape_type == kind]


def words_on(slide):
    return [one.text_frame.text for one in slide.shapes if one.has_text_frame]


@pytest.fixture(scope="module")
def document():
    return make_document()


@pytest.fixture(scope="module")
def slides(document):
    return open_slides(document)


def test_each_block_is_a_slide_with_its_answer_as_the_title(slides, document):
    titles = [one.shapes.title.text_frame.text for one in slides]
    growth, gone = document.blocks
    assert titles == [document.title, growth.answer, gone.heading]


def test_the_figure_fills_the_slide_and_is_said_in_words(slides, document):
    [shape] = of_kind(slides[1], MSO_SHAPE_TYPE.PICTURE)
    assert shape.width.inches > 0.85 * 13.333
    assert shape._element.nvPicPr.cNvPr.get("descr") == document.blocks[0].figures[0].alt


def test_what_else_is_said_stands_in_the_notes(slides, document):
    notes = slides[1].notes_slide.notes_text_frame.text
    block = document.blocks[0]
    for words in (*block.own_words, *block.paragraphs, *block.cautions, *block.excluded):
        assert words in notes


def test_a_block_without_data_says_why(slides, document):
    assert document.blocks[1].missing in words_on(slides[2])


@pytest.mark.parametrize("panels", [1, 3, 5, 8])
def test_no_figure_runs_over_the_foot_of_its_slide(document, panels):
    plot = make_plot(panels)
    block = replace(document.blocks[0], parts=(Figure(1, plot.caption, plot.alt, plot),))
    [_, slide] = open_slides(replace(document, blocks=(block,)))
    [picture] = of_kind(slide, MSO_SHAPE_TYPE.PICTURE)
    foot = min(one.top for one in slide.shapes if one.top > picture.top)
    assert picture.top + picture.height <= foot


def test_of_a_long_table_the_first_rows_stand_there_and_the_count_of_all(document):
    block = replace(document.blocks[0], parts=(make_table(rows=40),))
    [_, slide] = open_slides(replace(document, blocks=(block,)))
    [table] = of_kind(slide, MSO_SHAPE_TYPE.TABLE)
    shown = len(table.table.rows) - 1
    assert 3 <= shown < 40
    assert any(words.startswith(f"{shown} of 40 ") for words in words_on(slide))
