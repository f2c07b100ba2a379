"""Tables of findings as tables of a report."""

from samples.findings import page_model
from samples.findings.page_model import Count, Number, Text
from samples.reports.blocks.tables import finding_table
from samples.reports.document import ColumnKind


def make_table(groups, ages):
    """Make a table of a mean for each group and age; every second group lacks the last age."""
    rows = [
        [Text(group), Count(age), Number(age * 1.5, 1)]
        for place, group in enumerate(groups)
        for age in ages[: len(ages) - place % 2]
    ]
    heads = ["Arm", "Age", "Mean"]
    return page_model.Table("means", "Means", [page_model.Column(one) for one in heads], rows)


class TestFindingTable:
    def test_long_table_of_groups_has_them_side_by_side(self):
        table = finding_table(make_table(["Brindle", "Cutbank"], list(range(2, 12))))

        assert [one.group for one in table.columns] == ["", "Brindle", "Cutbank"]
        assert [row[0].text for row in table.rows] == [str(age) for age in range(2, 12)]
        assert [cell.text for cell in table.rows[0]] == ["2", "3.0", "3.0"]
        assert [cell.text for cell in table.rows[-1]] == ["11", "16.5", page_model.DASH]

    def test_table_of_many_groups_stays_long_and_names_each_once(self):
        groups = [f"Arm {place}" for place in range(8)]

        table = finding_table(make_table(groups, [1, 2, 3]))

        assert table.columns[0].kind is ColumnKind.HEAD
        assert [row[0].text for row in table.rows if row[0].text] == groups
