"""Records: what was done, by whom, with which lot, and who accepted it; kept so that it stands up years
later.

``events`` are the kinds of entry, ``state`` what they come to, ``rights`` who may do what, ``rules`` what
must hold before an entry is taken, ``store`` the log on disk, ``book`` every action once.
docs/method/records.md says what it proves and what it cannot.
"""
