"""Attaching Treenail's methods to ``cadquery.Workplane``: at once, or when CadQuery comes.

Importing CadQuery takes about two seconds, which a command that needs no solids must not pay.
So ``import treenail`` attaches the methods if CadQuery is loaded already, and otherwise leaves
a finder in ``sys.meta_path`` that lets the others find CadQuery, attaches the methods once it
has been loaded, and goes.
"""

from __future__ import annotations

import sys
import threading
import warnings
from typing import TYPE_CHECKING, Any

from treenail.timber.errors import TreenailError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from importlib.machinery import ModuleSpec
    from types import ModuleType

__all__ = ["NameTakenError", "on_import", "register", "unregister"]

HOST = "cadquery"
_HOME = "treenail.workplane"
_lock = threading.RLock()


class NameTakenError(TreenailError, RuntimeError):
    """``cadquery.Workplane`` has an attribute of that name which isn't Treenail's."""


def register() -> None:
    """Attach Treenail's methods to ``cadquery.Workplane``; loads CadQuery.

    Doing it again changes nothing. ``import treenail`` does it by itself, so only a program
    that took the methods off again has to.

    Raises:
        NameTakenError: CadQuery, or another plugin, has a method of one of the names already.
            It is left as it is, and none of Treenail's is attached.
    """
    import cadquery as cq

    with _lock:
        _attach(cq.Workplane)
        _forget()


def unregister() -> None:
    """Take Treenail's methods off again, and the finder that waits for CadQuery."""
    with _lock:
        _forget()
        host = _loaded_workplane()
        for name in _methods() if host is not None else ():
            if _is_ours(vars(host).get(name)):
                delattr(host, name)


def on_import() -> None:
    """Do what ``import treenail`` does: attach now, or when CadQuery has been loaded.

    A name that is taken is a warning here, because neither ``import treenail`` nor ``import
    cadquery`` should fail for it; :func:`register` raises.
    """
    global _waiting  # noqa: PLW0603 - the one finder of this process
    with _lock:
        host = _loaded_workplane()
        if host is not None:
            _attach_or_warn(host)
        elif _waiting is None:
            _waiting = _WaitingFinder()
            sys.meta_path.insert(0, _waiting)


def _methods() -> Mapping[str, Callable[..., Any]]:
    from treenail.workplane import METHODS

    return METHODS


def _loaded_workplane() -> Any:
    return getattr(sys.modules.get(HOST), "Workplane", None)


def _is_ours(attribute: object) -> bool:
    # By module, not by identity: a reloaded module has made its functions anew.
    return getattr(attribute, "__module__", None) == _HOME


def _attach(host: Any) -> None:
    import inspect  # here, because `import treenail` would pay for it

    methods = _methods()
    for name in methods:
        there = inspect.getattr_static(host, name, None)
        if there is not None and not _is_ours(there):
            owner = getattr(there, "__module__", None) or "someone else"
            raise NameTakenError(
                f"cadquery.Workplane.{name} is there already, from {owner}: Treenail's methods "
                f"are not attached; use .invoke({_HOME}.{name}(...)) instead"
            )
    for name, method in methods.items():
        setattr(host, name, method)


def _attach_or_warn(host: Any) -> None:
    try:
        _attach(host)
    except NameTakenError as error:
        warnings.warn(str(error), RuntimeWarning, stacklevel=3)


class _WaitingFinder:
    """Finds CadQuery by asking the other finders, and has its loader tell when it is loaded."""

    def find_spec(
        self, fullname: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Find CadQuery's spec, its loader wrapped; None for every other module."""
        if fullname != HOST or _waiting is not self:
            return None
        for finder in list(sys.meta_path):
            find = getattr(finder, "find_spec", None)
            if finder is self or find is None:
                continue
            spec: ModuleSpec | None = find(fullname, path, target)
            if spec is not None:
                if hasattr(spec.loader, "exec_module"):
                    spec.loader = _TellingLoader(spec.loader)  # type: ignore[assignment]
                return spec
        return None


class _TellingLoader:
    """CadQuery's own loader in all, but for attaching the methods once it has run."""

    def __init__(self, own: Any) -> None:
        self._own = own

    def __getattr__(self, name: str) -> Any:
        if name == "_own":  # not set yet, while a copy is being made
            raise AttributeError(name)
        return getattr(self._own, name)

    def create_module(self, spec: ModuleSpec) -> ModuleType | None:
        module: ModuleType | None = self._own.create_module(spec)
        return module

    def exec_module(self, module: ModuleType) -> None:
        # Whoever looks at the module from now on (importlib.resources, inspect, a reload)
        # finds the loader that it would have without us.
        module.__loader__ = self._own
        if module.__spec__ is not None:
            module.__spec__.loader = self._own
        self._own.exec_module(module)
        with _lock:
            _forget()  # only now: had CadQuery failed, the next try would count
        host = getattr(module, "Workplane", None)
        if host is not None:
            _attach_or_warn(host)


_waiting: _WaitingFinder | None = None


def _forget() -> None:
    """Remove the waiting finder, if there is one."""
    global _waiting  # noqa: PLW0603 - the one finder of this process
    if _waiting is not None:
        # A new list: another thread may be going through this one, and would skip a finder.
        sys.meta_path = [f for f in sys.meta_path if f is not _waiting]
        _waiting = None
