# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside Blender: makes `analysis` another name of the extension's own analysis.

Demo scenes and tests write `import analysis`. Were that the checkout's folder, every class would
exist twice and `isinstance` would be false between the two.
"""

import importlib
import sys
from collections.abc import Sequence
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder
from pathlib import Path
from types import ModuleType

_ALIAS = "analysis"
_REFUSED = "addon"
_FROM_CHECKOUT = ("demo_scenes", "tests")


def take_over_imports(root: Path, package: str) -> None:
    """Let `analysis` mean `package`.analysis, and find tests and demo scenes in the checkout.

    The checkout itself leaves `sys.path`, and the top-level name `addon` is refused.
    """
    unwanted = {root, root / "tests" / "harness"}
    sys.path[:] = [entry for entry in sys.path if Path(entry or ".").resolve() not in unwanted]
    for name in [name for name in sys.modules if name.partition(".")[0] == _ALIAS]:
        del sys.modules[name]
    if "tests" in sys.modules:  # a namespace package looks along sys.path again when that changes
        sys.modules["tests"].__path__ = [str(root / "tests")]
    sys.meta_path[:] = [finder for finder in sys.meta_path if not isinstance(finder, _Finder)]
    sys.meta_path.insert(0, _Finder(root, package))


class _Finder(MetaPathFinder):
    def __init__(self, root: Path, package: str) -> None:
        self._root = str(root)
        self._package = package

    def find_spec(
        self,
        fullname: str,
        path: Sequence[str] | None = None,
        target: ModuleType | None = None,
    ) -> ModuleSpec | None:
        top = fullname.partition(".")[0]
        if top == _ALIAS:
            return self._alias(fullname)
        if top == _REFUSED:
            raise ModuleNotFoundError(
                f"{fullname} would be a second copy of the add-on: use {self._package}.{fullname}",
                name=fullname,
            )
        return self._from_checkout(fullname) if fullname in _FROM_CHECKOUT else None

    def _alias(self, fullname: str) -> ModuleSpec:
        real_name = f"{self._package}.{fullname}"
        try:
            real = importlib.import_module(real_name)
        except ModuleNotFoundError as error:
            if error.name != real_name:
                raise  # the module is there, something that it imports is not
            raise ModuleNotFoundError(f"No module named {fullname!r}", name=fullname) from error
        return ModuleSpec(fullname, _AliasLoader(real), is_package=hasattr(real, "__path__"))

    def _from_checkout(self, name: str) -> ModuleSpec | None:
        spec = PathFinder.find_spec(name, [self._root])
        if spec is not None and spec.loader is None:  # no __init__.py: fix where it looks
            places = list(spec.submodule_search_locations or ())
            spec = ModuleSpec(name, None, is_package=True)
            spec.submodule_search_locations = places
        return spec


class _AliasLoader(Loader):
    """Hands out a module that is loaded already."""

    def __init__(self, real: ModuleType) -> None:
        self._real = real
        self._spec = real.__spec__

    def create_module(self, spec: ModuleSpec) -> ModuleType:
        return self._real

    def exec_module(self, module: ModuleType) -> None:
        # The import machinery has set the alias's spec; relative imports need the module's own.
        module.__spec__ = self._spec
