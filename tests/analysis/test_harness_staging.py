# SPDX-License-Identifier: GPL-3.0-or-later
"""The staged extension, and its zip, hold what ships and nothing else."""

import os
import zipfile

import pytest

from tests.harness import ROOT
from tests.harness.errors import HarnessError
from tests.harness.extension_zip import check_contents
from tests.harness.staging import INIT_TEXT, stage, staged_files

SHIPPED = {
    "LICENSE",
    "__init__.py",
    "addon/__init__.py",
    "addon/ui/panel.py",
    "analysis/__init__.py",
    "analysis/schema.json",
    "blender_manifest.toml",
}
LEFT_OUT = (
    "addon/.draft.py",
    "addon/__pycache__/panel.pyc",
    "addon/ui/panel.py~",
    "analysis/.cache/x",
    "analysis/checks/__pycache__/pop.cpython-311.pyc",
    "docs/index.md",
    "pyproject.toml",
    "tests/test_x.py",
)


@pytest.fixture
def root(tmp_path):
    """A small checkout with everything that lies about in a real one."""
    root = tmp_path / "checkout"
    manifest = "addon/blender_manifest.toml"
    for name in {*SHIPPED, *LEFT_OUT, manifest} - {"__init__.py", "blender_manifest.toml"}:
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text('id = "plumbline"\n' if name == manifest else name)
    return root


def zipped(path, names):
    with zipfile.ZipFile(path, "w") as archive:
        for name in names:
            archive.writestr(name, name)
    return path


def test_the_stage_holds_what_ships(root, tmp_path):
    dest = stage(tmp_path / "stage", root=root)
    assert staged_files(dest) == SHIPPED
    assert (dest / "__init__.py").read_text() == INIT_TEXT
    assert (dest / "blender_manifest.toml").read_text() == 'id = "plumbline"\n'
    assert (dest / "analysis/schema.json").read_text() == "analysis/schema.json"


def test_a_project_without_a_licence_file_is_staged_without_one(root, tmp_path):
    (root / "LICENSE").unlink()
    assert staged_files(stage(tmp_path / "stage", root=root)) == SHIPPED - {"LICENSE"}


def test_linked_folders_are_live_and_survive_staging_again(root, tmp_path):
    dest = stage(tmp_path / "stage", link=True, root=root)
    (root / "addon/ui/new.py").write_text("new")
    assert (dest / "addon/ui/new.py").read_text() == "new"
    stage(dest, link=True, root=root)
    assert (root / "addon/ui/new.py").exists()
    stage(dest, root=root)
    assert staged_files(dest) == SHIPPED | {"addon/ui/new.py"}
    assert (root / "addon/.draft.py").exists()
    assert not os.path.islink(dest / "addon")


def test_a_foreign_folder_is_not_touched(root, tmp_path):
    with pytest.raises(HarnessError, match="not a staged Plumbline"):
        stage(root, root=root)
    other = tmp_path / "other"
    other.mkdir()
    (other / "blender_manifest.toml").write_text('id = "another"\n')
    with pytest.raises(HarnessError, match="not a staged Plumbline"):
        stage(other, root=root)
    assert staged_files(other) == {"blender_manifest.toml"}


def test_an_incomplete_checkout_is_a_sentence(tmp_path):
    with pytest.raises(HarnessError, match="not a complete checkout"):
        stage(tmp_path / "stage", root=tmp_path)


def test_the_checkout_itself_ships_code_and_data_only(tmp_path):
    files = staged_files(stage(tmp_path / "stage"))
    tops = {name.partition("/")[0] for name in files}
    assert tops == {"LICENSE", "__init__.py", "addon", "analysis", "blender_manifest.toml"}
    in_checkout = {
        path.relative_to(ROOT).as_posix()
        for folder in ("addon", "analysis")
        for pattern in ("*.py", "*.json")
        for path in (ROOT / folder).rglob(pattern)
    }
    assert in_checkout <= files
    assert "addon/blender_manifest.toml" not in files


def test_a_zip_of_exactly_the_stage_passes(tmp_path):
    path = zipped(tmp_path / "plumbline.zip", [*SHIPPED, "addon/"])
    assert check_contents(path, SHIPPED) is None


@pytest.mark.parametrize(
    ("names", "sentence"),
    [
        (SHIPPED - {"analysis/schema.json"}, "lacks analysis/schema.json"),
        (SHIPPED | {"addon/extra.py"}, "holds addon/extra.py"),
        (SHIPPED | {"tests/test_x.py"}, "holds tests/test_x.py"),
    ],
)
def test_a_zip_that_is_not_the_stage_is_refused(tmp_path, names, sentence):
    with pytest.raises(HarnessError, match=sentence):
        check_contents(zipped(tmp_path / "plumbline.zip", names), SHIPPED)


@pytest.mark.parametrize(
    "name", ["pyproject.toml", "docs/x.md", "addon/.x.py", "analysis/__pycache__/x.pyc"]
)
def test_what_never_belongs_is_refused_even_if_it_was_staged(tmp_path, name):
    names = SHIPPED | {name}
    with pytest.raises(HarnessError, match=f"holds {name}"):
        check_contents(zipped(tmp_path / "plumbline.zip", names), names)
