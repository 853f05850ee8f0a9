"""The log kept underway, and the road from where the boat is now."""
