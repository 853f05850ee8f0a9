"""A person's own record of the wind, years of it hour by hour, made into a climate file and real years to sail."""
