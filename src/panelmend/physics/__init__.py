"""The science, which knows nothing of repairs: each module is checked against published results."""
