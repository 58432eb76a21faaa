"""Names handed on by a package without importing what lies behind them until they are used (PEP 562)."""

import sys
from collections.abc import Callable, Mapping
from importlib import import_module
from types import ModuleType
from typing import Any


def hand_on(package: str, where: Mapping[str, str]) -> tuple[Callable[[str], Any], Callable[[], list[str]]]:
    """Return `__getattr__` and `__dir__` for `package`; `where` maps a public name to its module.

    A module ending in `:` names a submodule that is itself the public name. Any other public name stays what
    it is when a submodule of the same name is imported: Python would put the module in its place.
    """

    class Package(ModuleType):
        def __setattr__(self, name: str, value: Any) -> None:
            shadows = isinstance(value, ModuleType) and name in where and not where[name].endswith(":")
            if not shadows:
                super().__setattr__(name, value)

    if package in sys.modules:
        sys.modules[package].__class__ = Package

    def __getattr__(name: str) -> Any:
        if name not in where:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        module = where[name]
        if module.endswith(":"):
            return import_module(module[:-1])
        return getattr(import_module(module), name)

    def __dir__() -> list[str]:
        return sorted(where)

    return __getattr__, __dir__
