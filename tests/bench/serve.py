"""The server of the bench, started as a process of its own: the demo boats, on any free port."""

import sys

from server.cli import main

sys.exit(main(["serve", "--demo", "--port", "0", "--data", sys.argv[1]]))
