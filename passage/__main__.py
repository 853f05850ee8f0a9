"""``python -m passage`` is the command ``passage``."""

from passage.cli import main

main(prog_name="passage")
