"""The program from a wheel in another folder: complete, and quick the second time, wherever it may write.

Compiled code is kept beside the package; a read-only package keeps it at home; without a home, in a private
temporary folder with one warning.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PIP = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]
DEMO = [sys.executable, "-m", "ramstill", "demo", "--out", "out"]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel's contents."""
    folder = tmp_path_factory.mktemp("installed")
    source = folder / "source"
    source.mkdir()
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, source)
    shutil.copytree(ROOT / "src", source / "src", ignore=shutil.ignore_patterns("__pycache__"))
    build = [*PIP, "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(folder), str(source)]
    subprocess.run(build, check=True)
    (wheel,) = folder.glob("ramstill-*.whl")
    subprocess.run([*PIP, "install", "--no-deps", "--target", str(folder / "site"), str(wheel)], check=True)
    return folder / "site"


def environment(installed: Path, **more: str) -> dict[str, str]:
    """The environment with the installed package first, and no cache named by the user."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("NUMBA_")}
    return kept | {"PYTHONPATH": str(installed), "PYTHONDONTWRITEBYTECODE": "1"} | more


def run_demo(folder: Path, settings: dict[str, str], before: tuple[str, ...] = ()) -> str:
    """Run the demo in a folder; return what it said on stderr."""
    done = subprocess.run([*before, *DEMO], cwd=folder, env=settings, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "out/page.html"
    assert (folder / "out" / "page.html").stat().st_size > 10_000
    return done.stderr


def kept(folder: Path) -> dict[str, int]:
    """The compiled files under a folder, each with the time it was written [ns]."""
    return {str(path): path.stat().st_mtime_ns for path in folder.rglob("*.nb[ci]")}


def test_the_wheel_holds_what_the_program_reads(installed: Path) -> None:
    package = installed / "ramstill"
    texts = ("py.typed", "airplane/hangar/*.toml", "scenarios/*.toml", "**/*.css", "**/*.js")
    for pattern in (*texts, "report/templates/*", "report/fonts/*"):
        there = {p.relative_to(ROOT / "src" / "ramstill") for p in (ROOT / "src" / "ramstill").glob(pattern)}
        assert there
        assert {p.relative_to(package) for p in package.glob(pattern)} == there


def test_an_installed_package_keeps_compiled_code_beside_itself(installed: Path, tmp_path: Path) -> None:
    assert run_demo(tmp_path, environment(installed)) == ""
    first = kept(installed)
    assert first
    assert run_demo(tmp_path, environment(installed)) == ""
    assert kept(installed) == first, "compiled again instead of read"


@pytest.mark.full
def test_a_read_only_package_without_a_home_keeps_it_in_a_temporary_folder(
    installed: Path, tmp_path: Path
) -> None:
    before: tuple[str, ...] = ()
    if os.getuid() == 0:  # root writes anywhere unless it gives that up
        if shutil.which("setpriv") is None:
            pytest.skip("root, and no setpriv to give up its rights with")
        before = ("setpriv", "--bounding-set", "-dac_override,-dac_read_search")
    site = tmp_path / "read-only"
    shutil.copytree(installed, site, ignore=shutil.ignore_patterns("*.nb[ci]", "*.stamp", "__pycache__"))
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    for path in (site, *site.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    home = str(site / "home")  # cannot be made
    settings = environment(site, HOME=home, XDG_CACHE_HOME=f"{home}/cache", TMPDIR=str(temporary))
    try:
        said = run_demo(tmp_path, settings, before)
        assert len(said.splitlines()) == 1, said
        assert "warning" in said
        first = kept(temporary)
        assert first
        assert len(run_demo(tmp_path, settings, before).splitlines()) == 1
        assert kept(temporary) == first, "compiled again instead of read"
        assert not kept(site)
    finally:
        for path in (site, *site.rglob("*")):
            path.chmod(0o755 if path.is_dir() else 0o644)
