# SPDX-License-Identifier: GPL-3.0-or-later
"""Which Blender saved a file: headers as Blender writes them, plain and packed."""

import gzip

import bpy
import pytest
import rigs
import zstandard
from command_line import one_sentence, save

# As read from files that 4.2, 4.5 and 5.2 saved.
OLD, NEW = b"BLENDER-v405REND", b"BLENDER17-01v0502REND"
PACKED = {
    "plain": bytes,
    "zstandard": zstandard.ZstdCompressor().compress,
    "gzip": gzip.compress,
}


def header(ext, tmp_path, content):
    path = tmp_path / "shot.blend"
    path.write_bytes(content)
    return ext.addon.blend_header.saved_by(path)


@pytest.mark.parametrize("pack", PACKED.values(), ids=PACKED)
@pytest.mark.parametrize(("start", "version"), [(OLD, (4, 5)), (NEW, (5, 2)), (b"PK\3\4", None)])
def test_the_header_tells_the_version(ext, tmp_path, pack, start, version):
    assert header(ext, tmp_path, pack(start + bytes(4000))) == version


@pytest.mark.parametrize(
    "content", [b"", b"BLEND", b"\x1f\x8b", b"\x28\xb5\x2f\xfd", b"\x1f\x8bx" * 9]
)
def test_what_is_cut_short_has_none(ext, tmp_path, content):
    assert header(ext, tmp_path, content) is None
    assert ext.addon.blend_header.saved_by(tmp_path / "none.blend") is None


@pytest.mark.parametrize("packed", [False, True])
def test_what_this_blender_saves_is_this_blender_s(ext, tmp_path, packed):
    path = tmp_path / "own.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path), compress=packed)
    assert ext.addon.blend_header.saved_by(path) == bpy.app.version[:2]


@pytest.mark.parametrize("pack", PACKED.values(), ids=PACKED)
def test_a_file_of_a_newer_blender_says_which_one_to_use(main, tmp_path, capsys, pack):
    newer = tmp_path / "newer.blend"
    newer.write_bytes(pack(b"BLENDER17-01v9903REND" + bytes(400)))
    assert main(["check", str(newer)]) == 2
    sentence = one_sentence(capsys)
    ours = "{}.{}".format(*bpy.app.version)
    assert (
        f"newer.blend was saved by Blender 99.3, expected one that this Blender {ours}" in sentence
    )
    assert sentence.endswith("check it with Blender 99.3 or later.")


def test_a_damaged_file_of_this_blender_is_told_apart(main, walking, capsys):
    walking.write_bytes(walking.read_bytes()[:600])
    assert main(["check", str(walking)]) == 2
    sentence = one_sentence(capsys)
    assert "could not be opened" in sentence
    assert sentence.count("walking.blend") <= 2


def make_newer(path):
    """Let a plain file's header tell the next version; returns that version and this Blender's."""
    major, minor = bpy.app.version[:2]
    content = path.read_bytes()
    for digits, newer in (
        (f"v{major}{minor:02}", f"v{major}{minor + 1:02}"),
        (f"v{major:02}{minor:02}", f"v{major:02}{minor + 1:02}"),
    ):
        content = content.replace(f"{digits}REND".encode(), f"{newer}REND".encode(), 1)
    path.write_bytes(content)
    return f"{major}.{minor + 1}", f"{major}.{minor}"


def test_a_newer_file_that_opens_is_checked_and_said_to_be_newer(main, tmp_path, capsys):
    rigs.biped()
    path = save(tmp_path / "newer.blend")
    assert main(["check", str(path)]) == 0
    assert "was saved by" not in capsys.readouterr().err
    newer, ours = make_newer(path)
    assert main(["check", str(path)]) == 0
    assert f"newer.blend was saved by Blender {newer}, and this is {ours}" in one_sentence(capsys)


@pytest.fixture
def linked(tmp_path):
    """A file that links an animated rig, and the file that it is linked from."""
    rigs.biped()
    library = save(tmp_path / "porter.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(library), link=True) as (_found, wanted):
        wanted.objects = ["porter"]
    bpy.context.scene.collection.objects.link(wanted.objects[0])
    return save(tmp_path / "shot.blend"), library


def test_a_linked_file_that_only_a_newer_blender_reads_is_named(main, linked, capsys):
    shot, library = linked
    library.write_bytes(b"BLENDER17-01v9903REND" + bytes(400))
    assert main(["check", str(shot)]) == 2
    told = one_sentence(capsys)
    assert f"shot.blend links {library}, which was saved by Blender 99.3, expected" in told


def test_a_linked_file_of_a_newer_blender_that_opens_is_named(main, linked, capsys):
    shot, library = linked
    newer, _ours = make_newer(library)
    main(["check", str(shot)])
    assert f"shot.blend links {library}, which Blender {newer} saved" in one_sentence(capsys)
