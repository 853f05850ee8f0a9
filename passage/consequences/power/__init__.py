"""The battery through every night: sun and engine in, loads out, in the same crossings as everything else."""
