"""How likely a reading is right, from what it shows of itself: trust.py fit OUT.json KNOWN.json LINES FOLDER [LINES FOLDER ...] | trust.py report MODEL.json LINES FOLDER

LINES: what `SEEPLINE_SEEN=FOLDER SEEPLINE_SEEN_TO=LINES cargo test --release --lib what_readings_show -- --ignored` wrote of a FOLDER of
photos with truth (calibrate.py). Gradient-boosted trees (Friedman 2001), with the settings that were tried first. Patterns near the limit
between two teach nothing.
"""

import json, os, sys
import numpy as np

TREES, RATE, LEAVES, L2 = 400, 0.05, 12, 5.0


def with_truth(lines, folder):
    """Each reading with the truth beside its photo."""
    for reading in map(json.loads, open(lines)):
        yield reading, json.load(open(os.path.join(folder, os.path.splitext(reading["photo"])[0] + ".json")))


def table(lines, folder):
    """What was seen, whether the pattern is right, whether it is clear; and what was named and is true."""
    X, right, clear, named = [], [], [], []
    for line, t in with_truth(lines, folder):
        X.append(line["seen"])
        right.append(bool(t["readable"]) and line["pattern"] == t["pattern"])
        clear.append(not (t["readable"] and t["borderline"]))
        named.append((line["pattern"], t["pattern"] if t["readable"] else None))
    return np.array(X, np.float32), np.array(right), np.array(clear), named, line["names"]


def written(model, names):
    """Nodes: [feature, highest value to the first child, children], or the leaf's value; the first child comes next."""
    trees = []
    single = lambda v: float(str(np.float32(v)))  # the fewest digits that give the same single-precision number
    for [p] in model._predictors:
        node = lambda n: round(float(n["value"]), 5) if n["is_leaf"] else [int(n["feature_idx"]), single(n["num_threshold"]), int(n["left"]), int(n["right"])]
        trees.append([node(n) for n in p.nodes])
    return dict(features=names, start=round(float(model._baseline_prediction[0, 0]), 5), trees=trees)


def chance(model, x):
    odds = model["start"]
    for tree in model["trees"]:
        n = tree[0]
        while isinstance(n, list):
            n = tree[n[2] if x[n[0]] <= n[1] else n[3]]
        odds += n
    return 1 / (1 + np.exp(-odds))


def fit(out, known_in, *sets):
    from sklearn.ensemble import HistGradientBoostingClassifier

    T = [table(*s) for s in zip(sets[::2], sets[1::2])]
    X, right, clear = (np.concatenate([t[i] for t in T]) for i in range(3))
    model = HistGradientBoostingClassifier(max_iter=TREES, learning_rate=RATE, max_leaf_nodes=LEAVES, l2_regularization=L2, early_stopping=False, random_state=0)
    model.fit(X[clear], right[clear])
    m = written(model, T[0][4])
    worst = max(abs(chance(m, x) - p) for x, p in zip(X[:200], model.predict_proba(X[:200])[:, 1]))
    assert worst < 1e-3, worst
    json.dump(m, open(out, "w"), separators=(",", ":"))
    # What the library itself says of every thousandth reading: a test holds the program to it.
    k = np.arange(0, len(X), 1000)
    known = [dict(seen=[float(v) for v in X[i]], chance=round(float(p), 4)) for i, p in zip(k, model.predict_proba(X[k])[:, 1])]
    json.dump(known, open(known_in, "w"), separators=(",", ":"))
    print(len(X), "readings,", sum(map(len, m["trees"])), "nodes,", os.path.getsize(out), "bytes")


def report(model, lines, folder):
    m = json.load(open(model))
    X, right, clear, named, _ = table(lines, folder)
    p = np.array([chance(m, x) for x in X])
    for lo, hi in ((0, 0.2), (0.2, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 0.9), (0.9, 1)):
        k = clear & (p >= lo) & (p < hi)
        print(f"{lo} to {hi}: {k.sum()} readings, {right[k].mean() if k.any() else float('nan'):.3f} right, {p[k].mean() if k.any() else float('nan'):.3f} said")


if __name__ == "__main__":
    {"fit": fit, "report": report}[sys.argv[1]](*sys.argv[2:])
