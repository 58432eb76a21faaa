"""The command line: one thin file a command. Only `main` is for others to use."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(__name__, {"main": "ramstill.cli.app", "app": "ramstill.cli.app:"})
