# SPDX-License-Identifier: GPL-3.0-or-later
"""The exact versions that tests run with, what they depend on included.

An environment is kept in the cache under a hash of its list: changing a pin builds a new one.
"""

_PYTEST = (
    "iniconfig==2.3.1",
    "packaging==26.4",
    "pluggy==1.7.0",
    "pygments==2.21.0",
    "pytest==9.2.0",
)

# Pure Python, so that any Blender's own Python can use it.
PYTEST_ALONE = _PYTEST

# Lint, types and the tests that run without Blender. The stubs are those of the lowest Blender
# that is supported, so that the type checker refuses what only later ones have.
CHECKS = (
    *_PYTEST,
    "ast-serialize==0.13.1",
    "attrs==26.1.0",
    "center-of-mass==1.0.1",
    "fake-bpy-module-4-2==20260730",
    "jsonschema==4.26.0",
    "jsonschema-specifications==2025.9.1",
    "librt==0.17.0",
    "mypy==2.4.1",
    "mypy-extensions==1.2.0",
    "numpy==2.4.6",
    "pathspec==1.1.1",
    "referencing==0.37.0",
    "rpds-py==2026.9.1",
    "ruff==0.17.6",
    "scipy==1.17.1",
    "typing-extensions==4.16.0",
)

_BPY_NEEDS = (
    "certifi==2026.10.19.post1",
    "charset-normalizer==3.5.3",
    "cython==3.3.1",
    "idna==3.20",
    "requests==2.34.2",
    "urllib3==2.8.0",
    "zstandard==0.25.0",
)

# Blender 4.2 and 4.5 come with numpy 1.26; the 4.2 wheel does not say so and would get 2.x.
BPY = {
    "4.2.23": (*_PYTEST, *_BPY_NEEDS, "bpy==4.2.23", "numpy==1.26.4"),
    "4.5.15": (*_PYTEST, *_BPY_NEEDS, "bpy==4.5.15", "numpy==1.26.4"),
    "5.2.3": (
        *_PYTEST,
        *_BPY_NEEDS,
        "attrs==26.1.0",
        "bpy==5.2.3",
        "cattrs==26.2.1",
        "numpy==2.5.5",
        "typing-extensions==4.16.0",
    ),
}

# Simulates a figure that falls, hops and is thrown; what it makes is kept, see simulated_data.py.
SIMULATION = ("mujoco-core==4.0.0", "numpy==2.4.6")

# Holds captured human motion; only its data files are used, so any platform's wheel will do.
CAPTURED = "pybullet==3.2.7"
