"""Write the ONNX files, their manifest and the recorded outputs the tests compare.

    python -m training.export CHECKPOINTS --version 1 --trained

Weights are stored as float16 and widened when the file is loaded, which halves them;
`recorded.npz` keeps what torch gives on fixed inputs with the unrounded weights.
"""

import argparse
import hashlib
import json
from pathlib import Path

import numpy as np
import onnx
import torch
from onnx import TensorProto, helper, numpy_helper

from training.fixed_inputs import NAMES, SHAPES, fixed_input
from training.nets import NETS

OPSET = 17
HOUSE = Path(__file__).resolve().parent.parent
WEIGHTS = HOUSE / "src/kennelward/reading/weights"
RECORDED = HOUSE / "tests/training/recorded.npz"
SAYS = {
    "finder": "windows in a whole photo, long side 384 px",
    "refiner": "corners of one window in a 96 x 192 crop",
    "lines": "lines along a straightened strip",
    "quality": "OD a line needs to be found 95 % of the time",
    "flow": "is the sample well at the left of the crop",
    "surface": "is this a photo of a display or a print",
}


def halve(path: Path) -> None:
    """Store the large weights of an ONNX file as float16, cast back on loading."""
    model = onnx.load(path)
    graph = model.graph
    casts = []
    for tensor in list(graph.initializer):
        if tensor.data_type != TensorProto.FLOAT or np.prod(tensor.dims) < 64:
            continue
        values = numpy_helper.to_array(tensor).astype(np.float16)
        graph.initializer.remove(tensor)
        small = numpy_helper.from_array(values, tensor.name + "_half")
        graph.initializer.append(small)
        casts.append(
            helper.make_node("Cast", [small.name], [tensor.name], to=TensorProto.FLOAT)
        )
    for node in reversed(casts):
        graph.node.insert(0, node)
    onnx.checker.check_model(model)
    onnx.save(model, path)


def write_net(name: str, net: torch.nn.Module, folder: Path) -> dict:
    """One ONNX file; returns its row of the manifest."""
    net.eval()
    entry, outputs = NAMES[name]
    axes = {entry: {0: "batch"}, **{out: {0: "batch"} for out in outputs}}
    if name == "finder":
        axes["photo"] |= {2: "height", 3: "width"}
        axes["cells"] |= {2: "rows", 3: "columns"}
    path = folder / f"{name}.onnx"
    torch.onnx.export(
        net,
        (torch.from_numpy(fixed_input(name)),),
        str(path),
        input_names=[entry],
        output_names=outputs,
        dynamic_axes=axes,
        opset_version=OPSET,
        dynamo=False,
    )
    halve(path)
    return {
        "file": path.name,
        "what": SAYS[name],
        "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
        "input": [entry, *SHAPES[name][1:]],
        "outputs": outputs,
    }


def recorded_outputs(name: str, net: torch.nn.Module) -> dict:
    """What torch gives on the fixed input, before any rounding."""
    net.eval()
    with torch.no_grad():
        found = net(torch.from_numpy(fixed_input(name)))
    found = found if isinstance(found, tuple) else (found,)
    return {
        f"{name}.{label}": value.numpy()
        for label, value in zip(NAMES[name][1], found, strict=True)
    }


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("checkpoints", nargs="?", help="folder of NAME.pt files")
    asked.add_argument("--version", default="0")
    asked.add_argument("--trained", action="store_true")
    asked.add_argument("--out", type=Path, default=WEIGHTS)
    asked.add_argument("--recorded", type=Path, default=RECORDED)
    said = asked.parse_args()
    said.out.mkdir(parents=True, exist_ok=True)
    rows, kept = [], {}
    for name, make in NETS.items():
        torch.manual_seed(1)
        net = make()
        kept_at = Path(said.checkpoints or ".") / f"{name}.pt"
        state = {}
        if said.checkpoints and kept_at.exists():
            state = torch.load(kept_at, map_location="cpu")
            net.load_state_dict(state["net"])
        row = write_net(name, net, said.out)
        rows.append(
            row | {key: state.get(key, 0) for key in ("seed", "step", "samples")}
        )
        kept |= recorded_outputs(name, net)
    manifest = {
        "version": said.version,
        "trained": said.trained,
        "opset": OPSET,
        "nets": rows,
    }
    text = json.dumps(manifest, indent=1) + "\n"
    (said.out / "manifest.json").write_text(text, encoding="utf-8")
    said.recorded.parent.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(said.recorded, **kept)
    total = sum((said.out / row["file"]).stat().st_size for row in rows)
    print(f"{total / 1e6:.2f} MB together")


if __name__ == "__main__":
    main()
