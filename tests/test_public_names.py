"""Every name a package hands on is the thing itself, also once all modules are imported."""

import pkgutil
from importlib import import_module
from types import ModuleType

import pytest

import ramstill

PACKAGES = sorted(m.name for m in pkgutil.iter_modules(ramstill.__path__) if m.ispkg and m.name != "cli")


# Packages that hand on modules as such.
MODULES = {
    "air": ("constants", "units", "atmosphere", "airspeed", "day", "gas", "manometer", "quantity"),
    "flight": ("recording", "motion"),
    "live": ("world",),
}


@pytest.mark.parametrize("package", PACKAGES)
def test_a_handed_on_name_is_no_module_in_disguise(package: str) -> None:
    folder = import_module(f"ramstill.{package}")
    for module in pkgutil.iter_modules(folder.__path__):
        import_module(f"ramstill.{package}.{module.name}")
    meant = MODULES.get(package, ())
    for name in dir(folder):
        is_module = isinstance(getattr(folder, name), ModuleType)
        assert is_module == (name in meant), f"ramstill.{package}.{name}: rename the file or the name"


def test_the_front_door() -> None:
    assert callable(ramstill.simulate)
    assert isinstance(ramstill.Run, type)
