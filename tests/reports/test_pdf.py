"""The PDF of a report, opened by a second reader: pypdfium2."""

import pypdfium2
import pytest

from samples.reports.document import Block, BlockKind, Passage, Poster
from samples.reports.writers.pdf import write_pdf
from samples.reports.writers.poster import write_poster
from tests.reports.documents import make_document, make_plot, make_table


def opened(content):
    return pypdfium2.PdfDocument(content)


def texts(pdf):
    return [page.get_textpage().get_text_range() for page in pdf]


def bookmarks(pdf):
    return [(one.get_title(), one.get_dest().get_index()) for one in pdf.get_toc()]


def pictures(pdf):
    kind = pypdfium2.raw.FPDF_PAGEOBJ_IMAGE
    return [one for page in pdf for one in page.get_objects(filter=[kind])]


@pytest.fixture(scope="module")
def report():
    return opened(write_pdf(make_document()))


class TestReport:
    def test_names_itself_and_its_authors(self, report):
        document = make_document()

        said = report.get_metadata_dict()

        assert (said["Title"], said["Author"]) == (document.title, "Nell Aubrey")
        assert document.version in said["Creator"]

    def test_bookmarks_lead_to_the_pages_of_their_blocks(self, report):
        pages = texts(report)

        assert [title for title, _ in bookmarks(report)] == ["1 Growth", "2 Mortality"]
        for title, page in bookmarks(report):
            assert title in pages[page]
            # The contents name the same page, as people count.
            assert any(line.startswith(title) and line.rstrip().endswith(f" {page + 1}")
                       for line in pages[0].splitlines())  # fmt: skip

    def test_text_stands_in_the_order_in_which_it_is_read(self, report):
        page = texts(report)[1]
        [growth, *_] = make_document().blocks
        order = [
            growth.choice,
            *growth.own_words,
            growth.answer,
            *growth.paragraphs,
            "Figure 1.",
            "Table 1.",
            *growth.cautions,
            *growth.excluded,
        ]

        places = [page.index(words) for words in order]

        assert places == sorted(places)

    def test_figures_are_lines_and_words(self, report):
        assert pictures(report) == []
        assert "Arm 2" in texts(report)[1]

    def test_every_page_says_of_which_data_it_is(self, report):
        assert all("Data revision 1f2e3d" in page for page in texts(report))

    def test_same_document_is_the_same_file(self):
        assert write_pdf(make_document()) == write_pdf(make_document())

    def test_long_table_repeats_its_heads(self):
        table = make_table(rows=130)
        block = Block("t", BlockKind.FINDING, 1, "Table", parts=(table,))

        pages = texts(opened(write_pdf(make_document((block,), words=()))))[1:]

        assert len(pages) > 2
        assert all(table.columns[-1].head in page and "Brindle" in page for page in pages)
        assert sum(page.count("Yes, probably.") for page in pages) == 130

    def test_block_that_cannot_be_carried_says_so_in_its_place(self, report):
        gone = make_document().blocks[1]

        assert gone.missing in texts(report)[2]

    def test_signs_of_markup_stand_as_typed(self):
        typed = "5 < 7 & <b>not bold</b> \x0b\u2212 \u03c7\u00b2"
        block = Block("w", BlockKind.SUMMARY, 1, "Summary", own_words=(typed,))
        row = Block("v", BlockKind.METHODS, 2, "M & M", parts=(Passage("<i>", ("a\u0001b",)),))

        pdf = opened(write_pdf(make_document((block, row), title="Bass & <crappie>")))

        assert "5 < 7 & <b>not bold</b> \u2212 \u03c7\u00b2" in texts(pdf)[1]
        assert pdf.get_metadata_dict()["Title"] == "Bass & <crappie>"
        assert bookmarks(pdf)[1][0] == "2 M & M"


class TestPoster:
    def test_is_one_page_of_numbers_and_growth(self):
        numbers = (("2,413", "fish measured"), ("488", "fish aged"), ("12 years", "the oldest"))
        poster = Poster(numbers, ("The oldest is from Cutbank.",), "Growth", "Dots.", make_plot(5))

        pdf = opened(write_poster(make_document(poster=poster)))

        [page] = texts(pdf)
        assert all(number in page for number, _ in numbers)
        assert "Arm 5" in page
        assert pictures(pdf) == []

    def test_without_ages_is_still_a_page(self):
        assert len(opened(write_poster(make_document()))) == 1
