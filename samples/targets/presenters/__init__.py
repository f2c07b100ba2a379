"""Coverage as its page, its sentences and its file say it."""
