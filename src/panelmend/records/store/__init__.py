"""The log on disk: append and read, settings proven at start, moves from one shape of the database to the
next."""
