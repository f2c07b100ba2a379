"""How dates and times are written on every page: 6 May 2026."""

DATE_FORMAT = "j F Y"
DATETIME_FORMAT = "j F Y, H:i"
SHORT_DATE_FORMAT = "j M Y"
TIME_FORMAT = "H:i"
