"""The bench in a browser, and the class."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(__name__, {"World": "ramstill.live.world.world"})
