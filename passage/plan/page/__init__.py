"""The plan as one page for a browser, a phone's too: nothing is fetched, nothing is kept, nothing leaves it."""
