"""The planning desk: a voyage's facts and what follows from them, served to a browser on this machine alone."""
