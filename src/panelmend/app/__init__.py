"""What users touch: every action once in ``service``, and the command line over it."""
