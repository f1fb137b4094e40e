# SPDX-License-Identifier: GPL-3.0-or-later
"""The JSON Schema that ships with the analysis, and a validator of reports."""

import json
from pathlib import Path

import jsonschema

import analysis

FILE = Path(analysis.__file__).with_name("plumbline-1.schema.json")
SCHEMA = json.loads(FILE.read_text("utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
