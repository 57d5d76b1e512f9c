"""Survey: from taps and readings to the outline of the damage (the case reads its part: nothing here)."""
