"""What a step has at the bench that is entered by itself: labels of pieces, batches mixed, lots drawn."""

from __future__ import annotations

from panelmend.records.state import Job


def not_entered(job: Job, key: str) -> tuple[str, ...]:
    """Labels and batches that a step asks for and nobody entered in the attempt that counts, in words."""
    step, attempt = job.steps[key], job.now(key)
    seen = {x.piece for x, _ in attempt.labels}
    labels = [f"label of {p}" for p in step.pieces if p not in seen]
    batches = [f"batch {n} of {step.pots}" for n in range(len(attempt.mixed) + 1, step.pots + 1)]
    return (*labels, *batches)


def beside_plan(job: Job, material: str) -> bool:
    """Whether a job's plan names what it takes from the stores, and takes nothing of a material."""
    return bool(job.opened.kit) and all(n.material != material for n in job.opened.kit)
