"""How dates and times are written on every page: May 6, 2026, 2:05 PM."""

DATE_FORMAT = "F j, Y"
DATETIME_FORMAT = "F j, Y, g:i A"
SHORT_DATE_FORMAT = "M j, Y"
TIME_FORMAT = "g:i A"
