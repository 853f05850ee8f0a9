"""What is drunk, eaten and burnt in the same crossings, and what to load."""
