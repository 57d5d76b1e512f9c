"""The search for shorter nests: engines in child processes, and the store of what they found."""
