"""What each finding is called, by its address: known without loading what works them out."""

# In the order in which they are offered.
TOPIC_LABELS = {
    "length-at-age": "Length at age",
    "ages": "Age-length key",
    "growth": "Growth",
    "readers": "Reader agreement",
    "deaths": "Mortality",
    "year-classes": "Year classes",
    "sizes": "Size structure",
    "by-year": "Growth by calendar year",
    "length-limit": "Length limit",
    "edge": "Edge analysis",
}
