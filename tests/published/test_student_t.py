"""Student's t: the 0.975 quantile against the published table.

Source: Abramowitz & Stegun (1964), Handbook of Mathematical Functions, Table 26.10 (column
A = 0.95), three decimals as printed there.
"""

import pytest

from samples.science.length_at_age import t_quantile

TABLE = {
    1: 12.706,
    2: 4.303,
    3: 3.182,
    4: 2.776,
    5: 2.571,
    6: 2.447,
    7: 2.365,
    8: 2.306,
    9: 2.262,
    10: 2.228,
    15: 2.131,
    20: 2.086,
    25: 2.060,
    30: 2.042,
    40: 2.021,
    60: 2.000,
    120: 1.980,
}


@pytest.mark.parametrize(("df", "printed"), TABLE.items())
def test_table_26_10(df, printed):
    assert t_quantile(df) == pytest.approx(printed, abs=0.0005)
