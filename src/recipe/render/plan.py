"""The list of cases of a set: see cases()."""

import datetime
import numpy as np

THOU = 25.4
COL = (["blue", "red-orange", "violet", "green"], [0.80, 0.10, 0.05, 0.05])
WHY = {
    "motion": "heavy motion blur",
    "dark": "far too dark",
    "blown": "blown out",
    "glare": "glare over most of the face",
    "out": "face mostly outside the picture",
    "covered": "face covered by a rag",
    "nojaw": "no jaw in the picture",
    "clean": "clean jaw, nothing was painted",
    "smeared": "compound smeared over everything",
}


METER = {"s02-c1-j3": 2.2}


def face_common(r, far):
    return dict(
        closure_um=float(r.uniform(6, 10)),
        threshold_um=float(r.uniform(4, 6.5)),
        reach_mm=float(r.uniform(15, 40)),
        waviness_um=float(r.uniform(0.8, 2.4 if not far else 3.0)),
    )


def common(r, far, setname):
    t = datetime.datetime(2026, 3, 2) + datetime.timedelta(
        days=int(r.integers(0, 200)), minutes=int(r.integers(6 * 60, 20 * 60)), seconds=int(r.integers(0, 60))
    )
    return dict(
        set=setname,
        far=far,
        seed=int(r.integers(1, 10**9)),
        colour=str(r.choice(COL[0], p=COL[1])),
        method="seep",
        orientation=int(r.choice([1, 3, 6, 8], p=[0.6, 0.1, 0.2, 0.1])),
        coverage=float(np.exp(r.uniform(np.log(0.09), np.log(0.55)))),
        time=t.isoformat(),
        nu={},
        geom={},
        style={},
    )


def singles(r, n, far, setname):
    out = []
    n_other = round(0.27 * n)
    n_tr = round(0.15 * n)
    n_zero = round(0.2 * n)
    grid = [0.25, 0.5, 0.75, 1, 1.25, 1.5, 2, 3]
    pure = n - n_other
    tapers = [0.0] * n_zero
    i = 0
    while len(tapers) < pure:
        m = grid[i % len(grid)]
        s = 1 if (i // len(grid)) % 2 == 0 else -1
        s = s if i % 2 == 0 else -s
        tapers.append(s * m)
        i += 1
    kinds = ["R+", "R-", "tilt+", "tilt-", "bow+", "bow-", "chip", "R++", "tilt+t", "bow+t", "R-t"]
    cs = []
    for t in tapers:
        c = common(r, far, setname)
        e = t * THOU + float(r.normal(0, 0.06 * THOU))
        c["face"] = dict(taper_error_um=e, **face_common(r, far))
        c["kind"] = "taper"
        cs.append(c)
    for j in range(n_other):
        c = common(r, far, setname)
        k = kinds[j % len(kinds)]
        f = dict(taper_error_um=float(r.normal(0, 0.1 * THOU)), **face_common(r, far))
        m = float(r.uniform(26, 60))
        sg = float(r.choice([-1, 1]))
        if k in ("R+", "R++"):
            f["radius_mismatch_um"] = m
        if k in ("R-", "R-t"):
            f["radius_mismatch_um"] = -m
        if k == "tilt+":
            f["side_tilt_um"] = m
        if k == "tilt-":
            f["side_tilt_um"] = -m
        if k == "tilt+t":
            f["side_tilt_um"] = sg * m * 0.8
        if k in ("bow+", "bow+t"):
            f["mid_bow_um"] = m
        if k == "bow-":
            f["mid_bow_um"] = -m
        if k == "chip":
            f["chip"] = (
                float(r.uniform(0.2, 0.8)),
                float(r.uniform(-0.6, 0.6)),
                float(r.uniform(45, 90)),
                float(r.uniform(1.2, 2.5)),
            )
            c["nu"]["face_curl"] = bool(r.random() < 0.5)
        if k in ("R++", "tilt+t", "bow+t", "R-t"):
            f["taper_error_um"] = float(r.choice([-1, 1]) * r.uniform(0.7, 1.6) * THOU)
        c["face"] = f
        c["kind"] = "pattern:" + k
        cs.append(c)
    r.shuffle(cs)
    cols = ["red-orange"] * round(0.1 * n) + ["violet"] * round(0.05 * n) + ["green"] * round(0.05 * n)
    cols += ["blue"] * (n - len(cols))
    r.shuffle(cols)
    for c, k in zip(cs, cols):
        c["colour"] = k
    for j in r.permutation(len(cs))[:n_tr]:
        cs[j]["method"] = "transfer"
        cs[j]["style"]["k"] = float(r.uniform(0.16, 0.32))
    for j in r.permutation(len(cs))[:6]:
        cs[j]["big"] = True
    return cs


def invalids(r, whys, far, setname):
    cs = []
    for w in whys:
        c = common(r, far, setname)
        c["why"] = w
        c["why_text"] = WHY[w]
        c["face"] = dict(
            taper_error_um=float(r.choice([-1, 0, 1]) * r.uniform(0.3, 1.6) * THOU), **face_common(r, far)
        )
        c["kind"] = "invalid:" + w
        c["coverage"] = float(r.uniform(0.12, 0.35))
        if w == "glare":
            c["nu"].update(light=["lamp", "tubes"], glare=True, lamp_size=120, lamp_gain=3.0)
            c["style"].update(grime=0.08)
        if w == "out":
            c["coverage"] = float(r.uniform(0.3, 0.5))
        if w == "covered":
            c["nu"].update(scene="bench")
            c["coverage"] = float(r.uniform(0.09, 0.16))
        if w == "clean":
            c["nu"]["clutter"] = 4
        if w == "nojaw":
            c["nu"].update(scene=str(r.choice(["bench", "rag", "chuck"])))
        cs.append(c)
    return cs


def sets(r, n, far, setname, first=1):
    cs = []
    runs = [
        [-1.6, -0.6, 0.0],
        [1.4, 0.45, -0.05],
        [2.2, 0.7],
        [-1.1, -0.1],
        [1.0, -0.5, 0.05],
        [-2.4, -0.9, 0.1],
    ]
    order = list(r.permutation(len(runs)))[:n]
    bad = int(r.integers(0, n))
    for si in range(n):
        run = runs[order[si]]
        r2 = np.random.default_rng(int(r.integers(1, 10**9)))
        base = common(r2, far, setname)
        base["colour"] = ["blue", "blue", "red-orange", "blue"][si]
        fc = face_common(r2, far)
        ss = int(r2.integers(1, 10**9))
        need = float(r2.uniform(-0.5, 2.2) * THOU)
        t0 = datetime.datetime.fromisoformat(base["time"])
        badj = int(r2.integers(1, 4))
        sgn = float(r2.choice([-1, 1]))
        orient = int(r2.choice([1, 6, 3, 8], p=[0.5, 0.3, 0.1, 0.1]))
        cov = float(r2.uniform(0.14, 0.4))
        scene = str(r2.choice(["bench", "chuck", "rag"]))
        t = t0
        for ci, e in enumerate(run, 1):
            t = t + datetime.timedelta(minutes=int(r2.integers(18, 55)))
            for j in (1, 2, 3):
                c = dict(base)
                c.update(
                    seed=int(r2.integers(1, 10**9)),
                    style_seed=ss,
                    nu={"scene": scene},
                    geom={"digit": j if r2.random() < 0.85 else 0},
                    style={},
                )
                err = e * THOU + float(r2.uniform(-0.1, 0.1) * THOU)
                if si == bad and j == badj:
                    err += sgn * 1.2 * THOU
                f = dict(fc)
                f["taper_error_um"] = err
                c.update(
                    face=f,
                    kind="set",
                    jaw_set=f"s{si + first:02d}",
                    check=ci,
                    jaw=j,
                    taper_cut_um=round(need + e * THOU, 3),
                    taper_needed_um=round(need, 3),
                    time=(t + datetime.timedelta(seconds=25 * j + int(r2.integers(0, 15)))).isoformat(),
                    orientation=orient if r2.random() < 0.75 else int(r2.choice([1, 6, 8])),
                    coverage=cov * float(np.exp(r2.normal(0, 0.25))),
                )
                c["kind"] = "set" if not (si == bad and j == badj) else "set:badly-seated"
                c["name"] = f"s{si + first:02d}-c{ci}-j{j}"
                cs.append(c)
    return cs


def cases(which):
    """'train:SEED:N': N cases wider than all others, about 35 % convex faces. 'dev': the cases of ../photos. 'more:SEED:N' or 'more:SEED:N:wide': N new cases (four fifths readable), 'wide' with harder light, tints, metal and proportions."""
    if which.startswith("method:"):
        _, seed, n = which.split(":")
        n = int(n)
        r = np.random.default_rng([int(seed), 79])
        m = singles(r, n, True, "train")
        for c in m:
            c.pop("big", None)
            c["train"] = True
            c["far"] = bool(r.random() < 0.5)
            c["convex"] = bool(r.random() < 0.3)
            c["style"].pop("k", None)
            c["method"] = str(r.choice(["seep", "transfer"]))
            swap = r.random() < 0.25
            c["seam"] = bool((c["method"] == "seep") != swap)
            c["geom"] = dict(brush=float(np.exp(r.uniform(np.log(0.7), np.log(8)))))
            c["coverage"] = float(np.exp(r.uniform(np.log(0.07), np.log(0.55))))
        r.shuffle(m)
        for i, c in enumerate(m, 1):
            c["name"] = f"k{seed}-{i:04d}"
        return m
    if which == "dev":
        r = np.random.default_rng(20260311)
        s = singles(r, 34, False, "dev")
        v = invalids(r, ["motion", "dark", "glare", "covered", "clean", "smeared"], False, "dev")
        j = sets(r, 4, False, "dev")
        pre = "p"
    elif which.startswith("train:"):
        _, seed, n = which.split(":")
        n = int(n)
        r = np.random.default_rng([int(seed), 78])
        bad = n // 5
        order = [
            "nojaw",
            "clean",
            "covered",
            "glare",
            "out",
            "nojaw",
            "smeared",
            "covered",
            "clean",
            "motion",
            "nojaw",
            "glare",
            "covered",
            "dark",
            "nojaw",
            "out",
            "clean",
            "covered",
            "smeared",
            "blown",
        ]
        s = singles(r, n - bad, True, "train")
        v = invalids(r, [order[i % len(order)] for i in range(bad)], True, "train")
        j = []
        pre = f"t{seed}-"
        for c in s + v:
            c.pop("big", None)
            c["train"] = True
            c["far"] = bool(r.random() < 0.5)
            c["convex"] = bool(r.random() < 0.35)
            c["style"].pop("k", None)
            if not c.get("why"):
                c["coverage"] = float(np.exp(r.uniform(np.log(0.07), np.log(0.55))))
    else:
        _, seed, n, *wide = which.split(":")
        n = int(n)
        far = bool(wide)
        r = np.random.default_rng([int(seed), 77])
        bad = n // 5
        s = singles(r, n - bad, far, "more")
        v = invalids(r, [list(WHY)[i % len(WHY)] for i in range(bad)], far, "more")
        j = []
        pre = f"m{seed}-"
    m = s + v
    r.shuffle(m)
    for i, c in enumerate(m, 1):
        c["name"] = f"{pre}{i:04d}"
    for c in m + j:
        if c["name"] in METER:
            c["nu"]["meter"] = METER[c["name"]]  # the face lay in deep shade: the operator tapped on it
    return m + j


if __name__ == "__main__":
    import sys
    from collections import Counter

    for w in sys.argv[1:] or ["dev", "more:1:100"]:
        c = cases(w)
        print(
            w,
            len(c),
            Counter(x["kind"].split(":")[0] for x in c),
            Counter(x["colour"] for x in c),
            Counter(x["orientation"] for x in c),
            Counter(x["method"] for x in c),
        )
