"""Work that takes longer than a page may: asked for once, done beside the pages, kept for a day.

`requests` asks for it and calls it off, `running` does it, `upkeep` looks after what was lost,
`supervisor` keeps the processes that do it, `results` keeps what came of it.
"""
