"""Doing the job: the card's steps as they are filled in, judged, signed and released."""
