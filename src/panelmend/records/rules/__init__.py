"""What must hold before an entry is taken. Every route into the log passes here, and checking a log
passes every entry through here again: one that was put in past the rules is found."""

from panelmend.records.rules.check import check as check
