"""The packaged networks are the trained ones, unchanged, and say what torch said."""

import hashlib
import json

import numpy as np
import pytest

from tests.architecture.planting import HOUSE
from training.fixed_inputs import NAMES, fixed_input

ort = pytest.importorskip("onnxruntime")

WEIGHTS = HOUSE / "src/kennelward/reading/weights"
MANIFEST = json.loads((WEIGHTS / "manifest.json").read_text(encoding="utf-8"))
ROWS = {row["file"].removesuffix(".onnx"): row for row in MANIFEST["nets"]}
# weights are kept as float16: about three digits; logits reach some tens
TOLERANCE = {
    "finder": 0.2,
    "refiner": 0.6,
    "lines": 0.15,
    "quality": 0.05,
    "flow": 0.1,
    "surface": 0.1,
}


def test_all_six_together_stay_small():
    """At most 5 MB, as promised in the model card."""
    assert sum((WEIGHTS / row["file"]).stat().st_size for row in ROWS.values()) <= 5e6


@pytest.mark.parametrize("name", sorted(NAMES))
def test_file_is_the_one_on_the_card(name):
    """Hash of the file, of the manifest and of the model card agree."""
    found = hashlib.sha256((WEIGHTS / f"{name}.onnx").read_bytes()).hexdigest()
    assert found == ROWS[name]["sha256"]
    card = (HOUSE / "docs/methods/reader-model.md").read_text(encoding="utf-8")
    assert found in card
    assert MANIFEST["version"] in card


@pytest.mark.parametrize("name", sorted(NAMES))
def test_onnx_says_what_torch_said(name):
    """Recorded torch outputs on fixed inputs, from the unrounded weights."""
    session = ort.InferenceSession(
        str(WEIGHTS / f"{name}.onnx"), providers=["CPUExecutionProvider"]
    )
    entry, labels = NAMES[name]
    found = session.run(labels, {entry: fixed_input(name)})
    with np.load(HOUSE / "tests/training/recorded.npz") as recorded:
        for label, value in zip(labels, found, strict=True):
            wanted = recorded[f"{name}.{label}"]
            assert value.shape == wanted.shape
            assert np.abs(value - wanted).max() <= TOLERANCE[name]
            assert np.abs(wanted).max() > 0  # something to compare with
