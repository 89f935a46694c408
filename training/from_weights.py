"""Checkpoints from the packaged ONNX files, so that training can go on from them.

    python -m training.from_weights FOLDER

Exporting folds each norm into its convolution, so the norms are set to leave what they
get unchanged, with the mean and spread that they see on training scenes: the network
says what its file says, and can be trained on.
"""

import json
import sys
from pathlib import Path

import onnx
import torch
from onnx import numpy_helper
from torch import nn

from training.export import WEIGHTS
from training.fixed_inputs import fixed_input
from training.nets import NETS
from training.train import make_batch

ENTRY = {"finder": "photo", "refiner": "crop", "flow": "crop", "surface": "patch"}


def in_order(net, kinds, example) -> list[nn.Module]:
    """The network's modules of `kinds`, in the order they are first used."""
    used: list[nn.Module] = []
    hooks = [
        part.register_forward_hook(
            lambda part, *_: used.append(part) if part not in used else None
        )
        for part in net.modules()
        if isinstance(part, kinds)
    ]
    with torch.no_grad():
        net(example)
    for hook in hooks:
        hook.remove()
    return used


def values_of(path) -> list[list[torch.Tensor]]:
    """Weight and bias of every convolution and product of the file, in its order."""
    graph = onnx.load(path).graph
    kept = {one.name: numpy_helper.to_array(one) for one in graph.initializer}
    for node in graph.node:
        if node.op_type in ("Cast", "Identity") and node.input[0] in kept:
            kept[node.output[0]] = kept[node.input[0]]
    return [
        [torch.tensor(kept[name]).float() for name in node.input[1:]]
        for node in graph.node
        if node.op_type in ("Conv", "Gemm")
    ]


def restored(name) -> nn.Module:
    """The network of one packaged file."""
    net = NETS[name]().eval()
    example = torch.from_numpy(fixed_input(name))
    layers = in_order(net, (nn.Conv2d, nn.Conv1d, nn.Linear), example)
    norms = in_order(net, nn.BatchNorm2d, example)
    found = values_of(WEIGHTS / f"{name}.onnx")[: len(layers)]
    waiting = iter(norms)
    for layer, (weight, bias) in zip(layers, found, strict=True):
        layer.weight.data = weight.reshape(layer.weight.shape)
        if layer.bias is not None:
            layer.bias.data = bias
            continue
        norm = next(waiting)
        norm.bias.data, norm.weight.data[:] = bias, (1 + norm.eps) ** 0.5
        norm.running_mean[:], norm.running_var[:] = 0, 1
    return net


def settle(name, net, device, batches=4) -> None:
    """Give each norm the mean and spread it sees, without changing what it says."""
    seen: dict[nn.Module, list] = {}
    norms = [part for part in net.modules() if isinstance(part, nn.BatchNorm2d)]
    hooks = [
        norm.register_forward_pre_hook(
            lambda norm, given: seen.setdefault(norm, []).append(
                (given[0].mean((0, 2, 3)), given[0].square().mean((0, 2, 3)))
            )
        )
        for norm in norms
    ]
    with torch.no_grad():
        for step in range(batches):
            got, _ = make_batch(name, seed=5, step=step, device=device, scale=0.1)
            net(got[ENTRY.get(name, "strip")])
    for hook in hooks:
        hook.remove()
    for norm in norms:
        mean, square = (
            torch.stack(part).mean(0) for part in zip(*seen[norm], strict=True)
        )
        spread = (square - mean * mean).clamp_min(1e-6)
        norm.running_mean.copy_(mean)
        norm.running_var.copy_(spread)
        norm.weight.data.copy_((spread + norm.eps).sqrt())
        norm.bias.data.add_(mean)


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    manifest = json.loads((WEIGHTS / "manifest.json").read_text(encoding="utf-8"))
    rows = {row["file"].removesuffix(".onnx"): row for row in manifest["nets"]}
    with torch.no_grad():
        for name in NETS:
            if name not in rows:
                continue
            net = restored(name).to(device)
            settle(name, net, device)
            counts = {key: rows[name][key] for key in ("seed", "step", "samples")}
            state = {"net": net.state_dict(), **counts}
            torch.save(state, folder / f"{name}.pt")
            print(name, "restored")


if __name__ == "__main__":
    main()
