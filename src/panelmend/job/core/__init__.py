"""Core: potted or replaced, ribbon along ribbon."""
