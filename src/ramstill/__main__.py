"""`python -m ramstill`, the same as the command `ramstill`."""

import sys

from ramstill.cli.app import main

sys.exit(main())
