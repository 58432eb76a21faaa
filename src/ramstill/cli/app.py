"""The command `ramstill`: which commands there are, and how each way of ending becomes an exit code.

Exit 0 done, 1 a check failed, 2 bad input (one line on stderr says where, what was read and what is allowed),
3 a mistake of our own, 130 interrupted. No traceback reaches a user unless RAMSTILL_TRACE is set.
"""

import os
import sys
from collections.abc import Sequence
from importlib import import_module

from cyclopts import App, CycloptsError

import ramstill
from ramstill.cli.output import warn
from ramstill.cli.plain_help import PlainHelp
from ramstill.errors import InputError
from ramstill.safety import SAFETY

# Each command is a function of the same name in its own file, whose heavy imports wait until it is called.
# It returns an exit code or None (done), and raises InputError for what a user can mend.
COMMANDS = ("demo", "run", "live", "diagnose", "hangar", "faults", "air")


def build() -> App:
    """Return the command line as a Cyclopts app."""
    app = App(
        name="ramstill",
        help="A bench for the pitot-static system of one airplane: fly it, pump it, break it, and read why "
        "the instruments show what they show.",
        help_epilogue=SAFETY,
        version=ramstill.__version__,
        help_format="plaintext",
        help_formatter=PlainHelp(),
        exit_on_error=False,
        print_error=False,
        suppress_keyboard_interrupt=False,
        result_action="return_value",
    )
    for name in COMMANDS:
        app.command(getattr(import_module(f"ramstill.cli.{name}"), name), name=name)
    return app


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    try:
        code = build()(list(sys.argv[1:] if arguments is None else arguments))
        sys.stdout.flush()
        return int(code) if isinstance(code, int) else 0
    except InputError as error:
        warn(error.line())
        return 2
    except CycloptsError as error:
        warn(f"{error} See ramstill --help.")
        return 2
    except KeyboardInterrupt:
        warn("interrupted")
        return 130
    except BrokenPipeError:  # the reader of our output has gone, as `head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        if os.environ.get("RAMSTILL_TRACE"):
            raise
        warn(
            f"internal error ({type(error).__name__}: {error}); please report it "
            "with what RAMSTILL_TRACE=1 prints for the same command"
        )
        return 3
