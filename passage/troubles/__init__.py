"""The road walked again with one thing broken, and the refuges sailed to."""
