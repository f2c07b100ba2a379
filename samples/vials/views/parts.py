"""What the scanning pages have in common."""

# The script shows the answer in place, so that a scan is one request and not two.
BY_SCRIPT = "X-Scan"
