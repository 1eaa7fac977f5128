"""Which score tells a jaw's face from anything else: refusal.py ONNX_DIR PHOTOS.. --fit CALIBRATION --none PICTURES --out SCORES.json

Positives: crops around the true corners. Negatives: crops where the finder is hottest in pictures without a jaw, however cold that
is, then where the reader settles. Compared: the reader's and the seam network's jaw outputs (outlier exposure, Hendrycks et al. 2019),
the energy of the quality logits (Liu et al. 2020) and the Mahalanobis distance over the reader's features (Lee et al. 2018).
"""

import argparse, glob, json, os, random
import cv2, numpy as np, onnxruntime as ort

CROP, M = 192, 0.15


def session(path):
    o = ort.SessionOptions()
    o.intra_op_num_threads = 2
    s = ort.InferenceSession(path, o)
    return lambda x: s.run(None, {s.get_inputs()[0].name: x})


def tensor(im):
    return (im[..., ::-1].transpose(2, 0, 1)[None] / 255).astype(np.float32)


def cut(im, quad):
    lo, hi = M * CROP, (1 - M) * CROP
    H = cv2.getPerspectiveTransform(np.float32(quad), np.float32([[lo, lo], [hi, lo], [hi, hi], [lo, hi]]))
    k = int(np.clip(np.ceil(np.sqrt(abs(cv2.contourArea(np.float32(quad)))) / (hi - lo)), 1, 6))
    x = cv2.warpPerspective(im, np.diag([k, k, 1.0]) @ H, (CROP * k, CROP * k), borderValue=(128, 128, 128))
    return tensor(cv2.resize(x, (CROP, CROP), interpolation=cv2.INTER_AREA)), H


def soft(h):
    p = np.exp(h - h.max((1, 2), keepdims=True))
    p /= p.sum((1, 2), keepdims=True)
    g = (np.arange(h.shape[2]) + 0.5) / h.shape[2]
    x, y = (p.sum(1) * g).sum(1), (p.sum(2) * g).sum(1)
    spread = np.sqrt(np.maximum((p.sum(1) * g**2).sum(1) - x * x + (p.sum(2) * g**2).sum(1) - y * y, 0))
    return np.stack([x, y], 1), spread


def hottest(find, im, size=240):
    """The outline of the finder's hottest blob, and how hot it is."""
    k = size / max(im.shape[:2])
    s = cv2.resize(im, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
    up = lambda v: -(-(v + 16) // 32) * 32
    c = np.full((up(s.shape[0]), up(s.shape[1]), 3), 127.5, np.float32)
    y, x = (c.shape[0] - s.shape[0]) // 2, (c.shape[1] - s.shape[1]) // 2
    c[y : y + s.shape[0], x : x + s.shape[1]] = s
    f = 1 / (1 + np.exp(-find(tensor(c))[0][0][0]))
    _, lab = cv2.connectedComponents((f > 0.5 * f.max()).astype(np.uint8), connectivity=4)
    pts = np.argwhere(lab == lab[np.unravel_index(f.argmax(), f.shape)])[:, ::-1].astype(np.float32)
    q = (cv2.boxPoints(cv2.minAreaRect(pts + 0.5)) * 4 - [x, y]) / k
    q = q if cv2.contourArea(np.float32(q), True) >= 0 else q[::-1]
    return (q if cv2.contourArea(np.float32(q)) > 200 else None), float(f.max())


def look(read, seam, im, quad):
    x, H = cut(im, quad)
    m, v, g = read(x)
    pts, spread = soft(m[0][2:])
    return dict(v=v[0], g=g[0], seam=seam(x)[0][0], spread=float(spread[:4].max()), pts=pts[:4], H=H)


def scores(a):
    v = a["v"]
    q = v[5:12] - v[5:12].max()
    return dict(jaw=float(v[12]), seam_jaw=float(a["seam"][1]), energy=float(np.log(np.exp(q).sum()) + v[5:12].max()), good=float(v[5] - np.delete(v[5:12], 0).max()), outline=-a["spread"])


def positives(nets, folder, start, step, most):
    out = []
    for jf in sorted(glob.glob(folder + "/*.json"))[start::step]:
        j = json.load(open(jf)) if not jf.endswith("index.json") else {}
        if not j.get("readable"):
            continue
        im = cv2.imread(os.path.join(folder, j["photo"]))
        k = min(1, 1400 / max(im.shape[:2]))
        im = cv2.resize(im, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
        out.append(look(*nets[1:], im, np.array(j["face_corners_px"]) * k))
        if len(out) >= most:
            break
    return out


def negatives(nets, top, each):
    out = []
    for src in sorted(os.listdir(top)):
        fs = sorted(glob.glob(f"{top}/{src}/*"))
        random.Random(1).shuffle(fs)
        for f in fs[:each]:
            im = cv2.imread(f)
            if im is None or min(im.shape[:2]) < 64:
                continue
            k = min(1, 1400 / max(im.shape[:2]))
            im = cv2.resize(im, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
            q, hot = hottest(nets[0], im)
            if q is None:
                continue
            # All four turns, as with every tip that a user may name; the one most like a jaw counts.
            looks = []
            for t in range(4):
                a = look(*nets[1:], im, np.roll(q, -t, 0))
                q2 = cv2.perspectiveTransform(np.float64(a["pts"][None] * CROP), np.linalg.inv(a["H"]))[0]
                if cv2.contourArea(np.float32(q2)) > 200 and np.abs(q2).max() < 4000:
                    a = look(*nets[1:], im, q2)
                looks.append(a)
            out.append((src, hot, looks))
    return out


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("onnx"), ap.add_argument("photos", nargs="+")
    ap.add_argument("--fit", required=True), ap.add_argument("--none", required=True), ap.add_argument("--out", required=True)
    ap.add_argument("--each", type=int, default=40), ap.add_argument("--most", type=int, default=400)
    a = ap.parse_args()
    nets = [session(f"{a.onnx}/{n}.onnx") for n in ("finder", "reader", "seam")]
    fit = positives(nets, a.fit, 0, 2, a.most)
    g = np.stack([p["g"] for p in fit])
    mean = g.mean(0)
    P = np.linalg.inv(np.cov(g.T) + 1e-3 * np.trace(np.cov(g.T)) / g.shape[1] * np.eye(g.shape[1]))
    far = lambda v: -float((v - mean) @ P @ (v - mean))
    sets = {os.path.basename(f): positives(nets, f, 0, 1, a.most) for f in a.photos}
    sets["calibration, other half"] = positives(nets, a.fit, 1, 2, a.most)
    neg = negatives(nets, a.none, a.each)
    all_scores = lambda p: {**scores(p), "mahalanobis": far(p["g"]), "jaw+seam_jaw": scores(p)["jaw"] + scores(p)["seam_jaw"]}
    N = [max((all_scores(p) for p in looks), key=lambda s: s["jaw"]) for _, _, looks in neg]
    print(len(neg), "negatives;", {k: len(v) for k, v in sets.items()}, "positives;", len(fit), "to fit")
    for name, pos in sets.items():
        S = [all_scores(p) for p in pos]
        for k in N[0]:
            x, y = np.array([s[k] for s in S]), np.array([s[k] for s in N])
            auroc = (x[:, None] > y[None]).mean() + 0.5 * (x[:, None] == y[None]).mean()
            print(f"{name}: {k}: AUROC {auroc:.4f}, false positives at 99 % true {100 * (y >= np.quantile(x, 0.01)).mean():.1f} %, lowest positive {x.min():.2f}, highest negative {y.max():.2f}", flush=True)
    json.dump(dict(mean=[round(float(v), 5) for v in mean], precision=[[round(float(v), 4) for v in r] for r in P]), open(a.out, "w"))


if __name__ == "__main__":
    main()
