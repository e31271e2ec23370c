"""`python -m reliability` is the command `driveyears`."""

import sys

from reliability.cli.main import main

sys.exit(main())
