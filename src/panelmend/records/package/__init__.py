"""One job as one file for a third party, with a checker that needs nothing of panelmend."""
