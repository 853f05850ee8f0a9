"""Many runs on dask: boats, tracks, departures and climates, each cell of the table sailed as one boat is."""
