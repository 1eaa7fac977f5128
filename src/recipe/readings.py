"""What the program's own readings teach: readings.py WEIGHTS WORLD GAPS.npz EXACT.npz OUT

WEIGHTS holds the networks, with a judge that simulated maps taught. They are put in the place of the program's, which reads photos that
calibrate.py makes in WORLD: its maps teach the judge anew, and with that judge it is fitted how likely a reading is right, on photos
that did not teach it. Needs cargo, and an NVIDIA card for the photos.
"""

import os, shutil, subprocess, sys

HERE = os.path.dirname(os.path.abspath(__file__))
READING = os.path.join(HERE, "..", "reading")
NETWORKS = ("finder", "reader", "film", "seam", "judge")
SECONDS, DEVICE = 300, "cuda:0"
# Number and first seed of the photos that teach the judge, and of those that the trees are fitted on.
TAUGHT, FITTED = (9_000, 18_000_000), (24_000, 21_000_000)


def recipe(script, *words):
    subprocess.run([sys.executable, os.path.join(HERE, script), *map(str, words)], check=True)


def use(weights, *names):
    for name in names:
        shutil.copy(os.path.join(weights, f"{name}.onnx"), os.path.join(READING, "network"))


def read(world, folder, photos, seed):
    """What the program as it stands reads of new photos, face searched and given: lines and folder in turn, as judge.py and trust.py take them."""
    recipe("calibrate.py", world, folder, photos, DEVICE, seed)
    pairs = []
    for by in ("searched", "corners"):
        lines = f"{folder}.{by}.lines"
        told = dict(os.environ, SEEPLINE_SEEN=os.path.abspath(folder), SEEPLINE_SEEN_TO=os.path.abspath(lines), SEEPLINE_SEEN_BY=by)
        subprocess.run(["cargo", "test", "--release", "--locked", "--lib", "what_readings_show", "--", "--ignored"], cwd=HERE, env=told, check=True)
        pairs += [lines, folder]
    return pairs


def main(weights, world, gaps, exact, out):
    os.makedirs(out, exist_ok=True)
    use(weights, *NETWORKS)
    taught = read(world, os.path.join(out, "taught"), *TAUGHT)
    recipe("judge.py", "train", gaps, exact, out, SECONDS, os.path.join(weights, "judge.onnx"), *taught)
    recipe("half.py", os.path.join(out, "judge.onnx"))
    use(out, "judge")
    fitted = read(world, os.path.join(out, "fitted"), *FITTED)
    recipe("trust.py", "fit", os.path.join(READING, "network", "trust.json"), os.path.join(READING, "inspect", "trust", "known.json"), *fitted)


if __name__ == "__main__":
    main(*sys.argv[1:])
