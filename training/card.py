"""Write version, hashes and counts of the packaged weights into the model card.

python -m training.card
"""

import json

from training.export import HOUSE, WEIGHTS

CARD = HOUSE / "docs/methods/reader-model.md"
START, END = "<!-- weights: written by training/card.py -->", "<!-- end of weights -->"


def main() -> None:
    said = json.loads((WEIGHTS / "manifest.json").read_text(encoding="utf-8"))
    lines = [
        START,
        f"Version `{said['version']}`, ONNX opset {said['opset']}.",
        "",
        "| file | what | samples seen | steps | seed | bytes | SHA-256 |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for row in said["nets"]:
        size = (WEIGHTS / row["file"]).stat().st_size
        lines.append(
            f"| `{row['file']}` | {row['what']} | {row['samples']} | {row['step']} "
            f"| {row['seed']} | {size} | `{row['sha256']}` |"
        )
    text = CARD.read_text(encoding="utf-8")
    before, rest = text.split(START)
    _, after = rest.split(END)
    CARD.write_text(before + "\n".join([*lines, END]) + after, encoding="utf-8")


if __name__ == "__main__":
    main()
