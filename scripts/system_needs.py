"""Say what the machine itself must have before Treenail can be installed.

CadQuery's kernel is linked against a few libraries that pip can't bring. Without them `import
cadquery` fails with a loader's message; this script names the Debian package instead. It runs
before there is a virtual environment, so it uses the standard library only.

    python3 scripts/system_needs.py            one message and exit status 1 if something is missing
    python3 scripts/system_needs.py --packages only the missing Debian packages, one a line
"""

import ctypes
import importlib.util
import sys

OLDEST_PYTHON = (3, 11)

# What `import cadquery` (OCP, and VTK's rendering modules) loads from outside its own wheels on
# Debian 12, beyond what Python itself is linked against. libgl1 brings libglx0, libglvnd0, libxcb1.
LIBRARIES = {
    "libGL.so.1": "libgl1",
    "libX11.so.6": "libx11-6",
    "libexpat.so.1": "libexpat1",
}


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def missing_packages() -> list[str]:
    """Return the Debian packages that hold what this machine lacks."""
    missing = []
    if sys.platform.startswith("linux"):
        missing = [package for name, package in LIBRARIES.items() if not _loads(name)]
    if importlib.util.find_spec("ensurepip") is None:
        missing.append("python3-venv")
    return missing


def main(arguments: list[str]) -> int:
    """Print what is missing; return the exit status."""
    if sys.version_info < OLDEST_PYTHON:
        sys.stderr.write(
            "Treenail needs Python 3.11 or newer; this is %s.\n" % sys.version.split()[0]
        )
        return 1
    missing = missing_packages()
    if "--packages" in arguments:
        sys.stdout.write("".join(f"{package}\n" for package in missing))
        return 0
    if missing:
        sys.stderr.write(
            "Missing on this machine (CadQuery's kernel and the virtual environment need them).\n"
            f"On Debian or Ubuntu: apt-get install {' '.join(missing)}\n"
        )
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
